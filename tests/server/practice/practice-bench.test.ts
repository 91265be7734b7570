import { describe, expect, it } from 'vitest';
import type { TrueCycle } from '../../../server/practice/cycle-log.ts';
import { LAYOUTS } from '../../../server/practice/layouts.ts';
import { PracticeBench } from '../../../server/practice/practice-bench.ts';

function idleOf(bench: PracticeBench, sinceS: number) {
  const cycles = bench.trueCycles.filter((cycle) => cycle.startS >= sinceS);
  const mean = (values: number[]) => values.reduce((sum, value) => sum + value, 0) / values.length;
  const kpa = Array.from({ length: bench.cylinders }, (_, cyl) =>
    mean(cycles.filter((cycle) => cycle.cyl === cyl).map((cycle) => cycle.meanPortKpa)),
  );
  return {
    kpa,
    rpm: mean(cycles.map((cycle) => cycle.speedRpm)),
    spreadKpa: Math.max(...kpa) - Math.min(...kpa),
  };
}

/** Settles and then averages over 15 s. */
function readAfter(bench: PracticeBench) {
  const fromS = bench.timeS + 5;
  bench.advance(fromS + 15);
  return idleOf(bench, fromS);
}

describe('the default practice', () => {
  it('is a 180° twin that idles near 1100 r/min with 4 to 7 kPa between its cylinders', () => {
    const bench = new PracticeBench();
    const { rpm, spreadKpa, kpa } = readAfter(bench);
    expect(bench.layout.id).toBe('twin-180');
    expect(rpm).toBeGreaterThan(1_000);
    expect(rpm).toBeLessThan(1_150);
    expect(spreadKpa).toBeGreaterThan(4);
    expect(spreadKpa).toBeLessThan(7);
    expect(kpa[1]).toBeLessThan(kpa[0]!);
  });

  it('is cured by its one screw within a turn, about 1 kPa for a tenth of it, without overshoot on the way', () => {
    const bench = new PracticeBench();
    const gaps = [0, 0.1, 0.2, 0.4, 0.55, 0.8].map((turns) => {
      bench.controls.balanceTurns = [turns];
      const { kpa } = readAfter(bench);
      return kpa[0]! - kpa[1]!;
    });
    for (let at = 1; at < gaps.length; at++) expect(gaps[at]).toBeLessThan(gaps[at - 1]!);
    expect(gaps[0]! - gaps[1]!).toBeGreaterThan(0.6);
    expect(gaps[0]! - gaps[1]!).toBeLessThan(1.4);
    expect(Math.abs(gaps[4]!)).toBeLessThan(0.8);
    expect(gaps[5]!).toBeLessThan(-1);
  });

  it('idles faster when the balance screw opens a throttle, and the idle screw brings it back', () => {
    const bench = new PracticeBench();
    const before = readAfter(bench).rpm;
    bench.controls.balanceTurns = [0.6];
    const balanced = readAfter(bench);
    expect(balanced.rpm).toBeGreaterThan(before + 25);
    expect(balanced.rpm).toBeLessThan(before + 200);
    bench.controls.idleTurns -= 0.3;
    const restored = readAfter(bench);
    expect(Math.abs(restored.rpm - before)).toBeLessThan(Math.abs(balanced.rpm - before));
    expect(restored.spreadKpa).toBeLessThan(1);
  });

  it('gives the same samples for the same seed and others for another', () => {
    const options = { taps: { noiseKpa: 0.1 } };
    const frames = (seed: number) => new PracticeBench({ ...options, seed }).advance(1);
    expect(frames(5)).toEqual(frames(5));
    expect(frames(5)).not.toEqual(frames(6));
  });

  it('gives the same samples however its time is cut up', () => {
    const whole = new PracticeBench({ seed: 9, taps: { noiseKpa: 0.1 } }).advance(1);
    const cut = new PracticeBench({ seed: 9, taps: { noiseKpa: 0.1 } });
    const pieces = [0.0001, 0.013, 0.0131, 0.5, 0.777, 1].flatMap((toS) => cut.advance(toS));
    expect(pieces).toEqual(whole);
  });
});

describe('the truth', () => {
  const lengths = (cycles: readonly TrueCycle[], cyl: number) => cycles.filter((cycle) => cycle.cyl === cyl);

  it('has cycles of every cylinder that join on to each other, with speed and mean', () => {
    const bench = new PracticeBench({ layout: 'four-crossplane' });
    bench.advance(5);
    for (let cyl = 0; cyl < 4; cyl++) {
      const own = lengths(bench.trueCycles, cyl);
      expect(own.length).toBeGreaterThan(40);
      for (let at = 1; at < own.length; at++) expect(own[at]!.startS).toBe(own[at - 1]!.endS);
      for (const cycle of own) {
        expect(cycle.speedRpm).toBeCloseTo(120 / (cycle.endS - cycle.startS), 9);
        expect(bench.truthMeanKpa(cyl, cycle.startS, cycle.endS)).toBeCloseTo(cycle.meanPortKpa, 3);
      }
    }
  });

  it('begins a cycle where the pressure begins to fall', () => {
    const bench = new PracticeBench({ controls: { combustionScatter: 0 } });
    bench.advance(3);
    for (const cycle of bench.trueCycles) {
      const lengthS = cycle.endS - cycle.startS;
      let lowest = 0;
      let lowestKpa = Number.POSITIVE_INFINITY;
      for (let part = 0; part < 1; part += 0.005) {
        const kpa = bench.truthAtKpa(cycle.cyl, cycle.startS + part * lengthS);
        if (kpa < lowestKpa) [lowest, lowestKpa] = [part, kpa];
      }
      // The intake valve is open for 240 of 720 degrees and the pressure is lowest as it begins to close.
      expect(lowest).toBeGreaterThan(0.2);
      expect(lowest).toBeLessThan(0.34);
    }
  });

  it('has a mean at the hose that is the port’s without a hose, and lags it with one', () => {
    const bare = new PracticeBench();
    bare.advance(3);
    expect(bare.truthMeanKpa(1, 0.3, 2.1, 'tap')).toBeCloseTo(bare.truthMeanKpa(1, 0.3, 2.1), 2);
    const lagging = new PracticeBench({ taps: { lagS: 0.01 } });
    lagging.advance(3);
    const swing = (where: 'port' | 'tap') => {
      const values = Array.from({ length: 2_000 }, (_, at) => lagging.truthAtKpa(0, 1 + at * 0.0005, where));
      return Math.max(...values) - Math.min(...values);
    };
    expect(swing('tap')).toBeLessThan(0.85 * swing('port'));
    expect(
      Math.abs(lagging.truthMeanKpa(0, 0.5, 2.5, 'tap') - lagging.truthMeanKpa(0, 0.5, 2.5)),
    ).toBeLessThan(0.3);
  });

  it('logs missed firings as often as they are asked for, and only on the fouled cylinder', () => {
    const bench = new PracticeBench({
      layout: 'four-inline',
      seed: 4,
      controls: { missedFiring: [0, 0, 0.2, 0] },
    });
    bench.advance(60);
    const missed = bench.trueCycles.filter((cycle) => cycle.missedFiring);
    expect(missed.every((cycle) => cycle.cyl === 2)).toBe(true);
    const share = missed.length / lengths(bench.trueCycles, 2).length;
    // Binomial, some 250 of the newest cycles: standard deviation 0.026.
    expect(Math.abs(share - 0.2)).toBeLessThan(0.08);
  });

  it('slows the engine after a missed firing', () => {
    const bench = new PracticeBench({ layout: 'twin-360', seed: 2, controls: { missedFiring: [0.05, 0] } });
    bench.advance(25);
    const own = lengths(bench.trueCycles, 0);
    const drops = own
      .slice(0, -1)
      .flatMap((cycle, at) => (cycle.missedFiring ? [own[at + 1]!.speedRpm - cycle.speedRpm] : []));
    expect(drops.length).toBeGreaterThan(3);
    expect(drops.reduce((sum, drop) => sum + drop, 0) / drops.length).toBeLessThan(-15);
  });

  it('logs missed pulses, in which the pressure does not fall', () => {
    const bench = new PracticeBench({
      layout: 'triple-120',
      seed: 4,
      controls: { missedPulse: [0, 0.1, 0] },
    });
    bench.advance(25);
    const own = lengths(bench.trueCycles, 1);
    const missed = own.filter((cycle) => cycle.missedPulse);
    expect(missed.length).toBeGreaterThan(8);
    expect(bench.trueCycles.some((cycle) => cycle.missedPulse && cycle.cyl !== 1)).toBe(false);
    for (const cycle of own) {
      const middle = cycle.startS + 0.3 * (cycle.endS - cycle.startS);
      const kpa = bench.truthAtKpa(1, middle);
      if (cycle.missedPulse) expect(kpa).toBeGreaterThan(75);
      else expect(kpa).toBeLessThan(60);
    }
  });

  it('forgets the oldest cycles and pressures, so that a bench can run for ever', () => {
    const bench = new PracticeBench({ historyS: 1 });
    bench.advance(60);
    expect(bench.trueCycles.length).toBeLessThanOrEqual(300);
    expect(bench.trueCycles.at(-1)!.endS).toBeGreaterThan(59);
    expect(() => bench.truthMeanKpa(0, 30, 31)).toThrow(/outside the history/);
  });
});

describe('the samples', () => {
  it('are taken at their rate, from time 0 on', () => {
    const frames = new PracticeBench({ sampleRateHz: 250 }).advance(2);
    expect(frames).toHaveLength(501);
    frames.forEach((frame, at) => {
      expect(frame.timeS).toBeCloseTo(at / 250, 9);
    });
  });

  it('of later channels are taken later', () => {
    const bench = new PracticeBench({ layout: 'v-four-180', conversionS: 0.0005, fullScaleCounts: null });
    for (const frame of bench.advance(1)) {
      frame.kpa.forEach((kpa, cyl) => {
        expect(kpa).toBeCloseTo(bench.truthAtKpa(cyl, frame.timeS + cyl * 0.0005, 'tap'), 9);
      });
    }
  });

  it('are rounded to counts of 0.1086 kPa', () => {
    const bench = new PracticeBench();
    for (const frame of bench.advance(1)) {
      frame.kpa.forEach((kpa, cyl) => {
        expect(Math.abs(kpa - bench.truthAtKpa(cyl, frame.timeS, 'tap'))).toBeLessThanOrEqual(0.0544);
        expect(kpa).toBeCloseTo((frame.counts[cyl]! / 1023 + 0.095) / 0.009, 9);
      });
    }
  });

  it('go on at a new rate', () => {
    const bench = new PracticeBench({ sampleRateHz: 500 });
    bench.advance(0.1);
    bench.setSampleRate(1_000);
    const times = bench.advance(0.2).map((frame) => frame.timeS);
    expect(times).toHaveLength(100);
    for (let at = 1; at < times.length; at++) expect(times[at]! - times[at - 1]!).toBeCloseTo(0.001, 9);
    expect(times[0]).toBeGreaterThan(0.1);
  });

  it.each([0.5, 5_000, Number.NaN])('cannot be taken at %f per second', (sampleRateHz) => {
    expect(() => new PracticeBench({ sampleRateHz })).toThrow(RangeError);
  });
});

describe('a blip', () => {
  it.each(LAYOUTS)('of $id opens every port to air, revs the engine up, and leaves it idling', ({ id }) => {
    const bench = new PracticeBench({ layout: id, seed: 3, historyS: 12 });
    bench.advance(2);
    bench.blip();
    bench.advance(11);
    for (let cyl = 0; cyl < bench.cylinders; cyl++) {
      expect(bench.truthMeanKpa(cyl, 2.2, 2.5)).toBeGreaterThan(88);
    }
    const after = bench.trueCycles.filter((cycle) => cycle.startS > 2.1);
    expect(Math.max(...after.map((cycle) => cycle.speedRpm))).toBeGreaterThan(1_800);
    const end = after.at(-1)!.speedRpm;
    expect(end).toBeGreaterThan(850);
    expect(end).toBeLessThan(1_300);
  });

  it('meets a slide that lags where its diaphragm is torn, and nowhere else', () => {
    const during = (tornDiaphragm: boolean[]) => {
      const bench = new PracticeBench({
        layout: 'twin-360',
        controls: { tornDiaphragm, mismatchTurns: [0, 0] },
      });
      bench.advance(2);
      bench.blip();
      bench.advance(4);
      return [bench.truthMeanKpa(0, 2.2, 2.5), bench.truthMeanKpa(1, 2.2, 2.5)] as const;
    };
    const [soundA, soundB] = during([false, false]);
    expect(Math.abs(soundA - soundB)).toBeLessThan(1);
    const [torn, beside] = during([true, false]);
    expect(torn).toBeLessThan(soundA - 3);
    expect(Math.abs(beside - soundB)).toBeLessThan(1.5);
  });

  it('of a torn diaphragm leaves the idle as it was', () => {
    const idle = (torn: boolean) =>
      readAfter(new PracticeBench({ controls: { tornDiaphragm: [torn, false] } }));
    expect(Math.abs(idle(true).kpa[0]! - idle(false).kpa[0]!)).toBeLessThan(0.3);
  });
});

describe('stopping and starting', () => {
  it('stops with the ignition switch and starts with the starter', () => {
    const bench = new PracticeBench();
    expect(bench.running).toBe(true);
    bench.setRunning(false);
    expect(bench.running).toBe(false);
    bench.advance(5);
    expect(bench.engine.speedRadS).toBe(0);
    bench.setRunning(true);
    expect(bench.running).toBe(true);
    bench.advance(10);
    expect(bench.engine.speedRpm).toBeGreaterThan(850);
    expect(bench.running).toBe(true);
  });

  it('says that an engine with shut throttles has stalled, and lets the starter go after 5 s', () => {
    const bench = new PracticeBench({ controls: { idleTurns: -5 } });
    bench.advance(8);
    expect(bench.running).toBe(false);
    bench.setRunning(true);
    bench.advance(12);
    expect(bench.engine.starter).toBe(true);
    bench.advance(15);
    expect(bench.engine.starter).toBe(false);
    expect(bench.running).toBe(false);
  });
});

import { describe, expect, it } from 'vitest';
import type { Engine } from './engine-recording.ts';
import type { EngineSpec } from './engine-spec.ts';
import { fourierEngine } from './fourier-engine.ts';
import { layoutNamed } from './layouts.ts';
import { refillEngine } from './refill-engine.ts';

const ENGINES: readonly (readonly [string, Engine])[] = [
  ['refill engine', refillEngine],
  ['fourier engine', fourierEngine],
];

const base: EngineSpec = {
  seed: 11,
  durationS: 5,
  sampleRateHz: 1000,
  intakeAnglesDeg: layoutNamed('four 180').intakeAnglesDeg,
  rpm: 1000,
};

const rough: EngineSpec = { ...base, cycleScatter: 0.015, depthScatter: 0.05, speedRipple: 0.02 };

const mean = (values: ArrayLike<number>): number =>
  Array.from(values).reduce((a, b) => a + b, 0) / values.length;
const sd = (values: ArrayLike<number>): number => {
  const m = mean(values);
  return Math.sqrt(Array.from(values).reduce((a, b) => a + (b - m) ** 2, 0) / (values.length - 1));
};

describe.each(ENGINES)('%s', (_name, engine) => {
  it('gives the same recording for the same seed and another for another', () => {
    const spec = { ...rough, noiseKpa: 0.1, bits: 10, spikesPerS: 2, missedChance: 0.02 };
    const first = engine(spec);
    const again = engine(spec);
    expect(again.timeS).toEqual(first.timeS);
    expect(again.kpa).toEqual(first.kpa);
    expect(again.truth.cycleStartsS).toEqual(first.truth.cycleStartsS);
    expect(engine({ ...spec, seed: 12 }).kpa).not.toEqual(first.kpa);
  });

  it('knows the mean pressure of any window: as a sum over a far finer grid gives it', () => {
    const { truth } = engine(rough);
    for (const [from, to] of [
      [0.0123, 0.1377],
      [1.2, 1.2007],
      [2.00031, 4.4444],
    ] as const) {
      const points = 200_000;
      let sum = 0;
      for (let i = 0; i < points; i++) sum += truth.kpaAt(2, from + ((i + 0.5) / points) * (to - from));
      expect(truth.meanKpa(2, from, to)).toBeCloseTo(sum / points, 5);
      expect(truth.meanVacuumKpa(2, from, to)).toBeCloseTo(101.325 - sum / points, 5);
    }
  });

  it('hears without noise what the truth says, at the time of each sample', () => {
    const skewS = 0.0002;
    const { truth, timeS, kpa } = engine({ ...rough, skewS });
    for (let row = 0; row < timeS.length; row += 97) {
      expect(kpa[3]![row]).toBeCloseTo(truth.kpaAt(3, timeS[row]! + 3 * skewS), 9);
    }
  });

  it('begins each cycle one whole cycle of crank after the last, at its intake angle', () => {
    const { truth } = engine(rough);
    truth.cycleStartsS.forEach((starts, channel) => {
      expect(starts.length).toBeGreaterThan(39);
      for (const start of starts) {
        const place = (((truth.angleDegAt(start) - base.intakeAnglesDeg[channel]!) % 720) + 720) % 720;
        expect(Math.min(place, 720 - place)).toBeLessThan(1e-6);
      }
      for (let i = 1; i < starts.length; i++) {
        expect(truth.cycleLengthFrom(starts[i - 1]!)).toBeCloseTo(starts[i]! - starts[i - 1]!, 9);
        expect(truth.cycleRpm[channel]![i - 1]).toBeCloseTo(120 / (starts[i]! - starts[i - 1]!), 5);
      }
    });
  });

  it('falls after each start: the pressure a fifth of a cycle later is well below', () => {
    const { truth } = engine(rough);
    for (const [channel, starts] of truth.cycleStartsS.entries()) {
      for (const start of starts) {
        const depth = truth.depthKpa(channel, start, start + truth.cycleLengthFrom(start));
        const fallen = truth.kpaAt(channel, start) - truth.kpaAt(channel, start + 0.2 * 0.12);
        expect(fallen).toBeGreaterThan(0.4 * depth);
      }
    }
  });

  it('swings like a port at idle: 28-50 kPa deep, 18-50 kPa of vacuum', () => {
    for (let seed = 1; seed <= 12; seed++) {
      const { truth } = engine({ ...base, seed });
      for (let channel = 0; channel < 4; channel++) {
        expect(truth.depthKpa(channel, 1, 2)).toBeGreaterThan(28);
        expect(truth.depthKpa(channel, 1, 2)).toBeLessThan(50);
        expect(truth.meanVacuumKpa(channel, 1, 3)).toBeGreaterThan(18);
        expect(truth.meanVacuumKpa(channel, 1, 3)).toBeLessThan(50);
      }
    }
  });

  it('scatters in cycle length and in wander as asked', () => {
    const lengths = (spec: Partial<EngineSpec>): Float64Array =>
      engine({ ...base, durationS: 120, sampleRateHz: 250, intakeAnglesDeg: [0, 360], ...spec }).truth
        .cycleRpm[0]!;
    const independent = lengths({ cycleScatter: 0.02 });
    expect(mean(independent)).toBeCloseTo(1000, -1);
    expect(sd(independent) / 1000).toBeGreaterThan(0.017);
    expect(sd(independent) / 1000).toBeLessThan(0.0235);
    const wander = lengths({ wander: { sd: 0.01, correlation: 0.8 } });
    expect(sd(wander) / 1000).toBeGreaterThan(0.007);
    expect(sd(wander) / 1000).toBeLessThan(0.013);
    const successive = Array.from(wander.subarray(1), (r, i) => r - wander[i]!);
    expect(sd(successive)).toBeLessThan(sd(wander));
    const hunting = lengths({ hunting: { amplitudeRpm: 60, periodS: 3 } });
    expect(sd(hunting)).toBeCloseTo(60 / Math.SQRT2, -0.5);
  });

  it('misses the pulses that it was told to, where the truth says', () => {
    const missed = [
      { channel: 1, cycle: 7, strength: 0 },
      { channel: 1, cycle: 20, strength: 0.3 },
      { channel: 3, cycle: 11, strength: 0.1 },
    ];
    const healthy = engine(base).truth;
    const { truth } = engine({ ...base, missed });
    expect(truth.missedPulsesS.map((list) => list.length)).toEqual([0, 2, 0, 1]);
    for (const { channel, cycle, strength } of missed) {
      const start = truth.cycleStartsS[channel]![cycle]!;
      const fall = (t: typeof truth): number => {
        const from = t.cycleStartsS[channel]![cycle]!;
        return t.kpaAt(channel, from) - t.kpaAt(channel, from + 0.03);
      };
      expect(fall(truth)).toBeLessThan((strength + 0.2) * fall(healthy));
      const inside = truth.missedPulsesS[channel]!.filter((t) => t > start && t < start + 0.06);
      expect(inside).toHaveLength(1);
    }
  });

  it('misses by chance about as often as asked, and never twice running', () => {
    const { truth } = engine({ ...base, durationS: 120, sampleRateHz: 250, missedChance: 0.05 });
    for (const [channel, list] of truth.missedPulsesS.entries()) {
      expect(list.length / truth.cycleStartsS[channel]!.length).toBeGreaterThan(0.03);
      expect(list.length / truth.cycleStartsS[channel]!.length).toBeLessThan(0.07);
      for (let i = 1; i < list.length; i++) expect(list[i]! - list[i - 1]!).toBeGreaterThan(0.2);
    }
  });

  it('has no pulse on a dead cylinder and a shallow, deep-vacuum one on a closed-off throttle', () => {
    const dead = engine({ ...base, strength: [1, 0, 1, 1] }).truth;
    expect(dead.deadChannels).toEqual([false, true, false, false]);
    expect(dead.depthKpa(1, 1, 4)).toBeLessThan(0.5);
    const healthy = engine(base).truth;
    const closed = engine({ ...base, opening: [1, 1, 0.35, 1] }).truth;
    expect(closed.depthKpa(2, 2, 4)).toBeLessThan(0.6 * healthy.depthKpa(2, 2, 4));
    expect(closed.meanVacuumKpa(2, 2, 4)).toBeGreaterThan(healthy.meanVacuumKpa(2, 2, 4) + 5);
  });

  it('shows one tap of a shared manifold several pulses in each cycle', () => {
    const { truth } = engine({ ...base, intakeAnglesDeg: [0], furtherPulsesDeg: [[180, 360, 540]] });
    const [start] = truth.cycleStartsS[0]!;
    const from = start!;
    let falls = 0;
    for (let quarter = 0; quarter < 4; quarter++) {
      const at = from + 0.12 + quarter * 0.03;
      if (truth.depthKpa(0, at, at + 0.03) > 3) falls++;
    }
    expect(falls).toBe(4);
  });

  it('runs a two-stroke with one pulse in each revolution', () => {
    const { truth } = engine({ ...base, strokes: 2, intakeAnglesDeg: [0, 180], rpm: 1500 });
    expect(truth.cycleDeg).toBe(360);
    expect(truth.cycleStartsS[0]!.length).toBeCloseTo(5 * 25, -1);
    expect(mean(truth.cycleRpm[0]!)).toBeCloseTo(1500, -1);
  });

  it('follows a given course of the speed', () => {
    const { truth } = engine({ ...base, rpm: (t) => (t < 2 ? 1000 : 3000) });
    expect(truth.meanRpm(0.5, 1.8)).toBeCloseTo(1000, -1);
    expect(truth.meanRpm(2.5, 4.5)).toBeCloseTo(3000, -1);
  });

  it('moves one cylinder at a turned screw and leaves the others alone', () => {
    const still = engine(base).truth;
    const turned = engine({ ...base, openingSteps: [{ channel: 0, atS: 2, factor: 1.15 }] }).truth;
    expect(turned.meanVacuumKpa(0, 0.2, 1.9)).toBeCloseTo(still.meanVacuumKpa(0, 0.2, 1.9), 6);
    expect(still.meanVacuumKpa(0, 3, 4.5) - turned.meanVacuumKpa(0, 3, 4.5)).toBeGreaterThan(1);
    expect(turned.meanVacuumKpa(1, 3, 4.5)).toBeCloseTo(still.meanVacuumKpa(1, 3, 4.5), 6);
    const moved = engine({ ...base, levelSteps: [{ channel: 0, atS: 2, kpa: -1.5 }] }).truth;
    expect(moved.meanVacuumKpa(0, 3, 4.5) - still.meanVacuumKpa(0, 3, 4.5)).toBeCloseTo(1.5, 6);
  });

  it('puts a backfire on one tap as a single positive spike', () => {
    const still = engine(base).truth;
    const pop = engine({ ...base, pops: [{ channel: 2, atS: 2.5, kpa: 30 }] }).truth;
    let highest = 0;
    for (let t = 2.45; t < 2.6; t += 0.0002) {
      highest = Math.max(highest, pop.kpaAt(2, t) - still.kpaAt(2, t));
    }
    expect(highest).toBeGreaterThan(25);
    expect(pop.meanKpa(2, 1, 2.4)).toBeCloseTo(still.meanKpa(2, 1, 2.4), 9);
  });

  it('swaps hoses with all their truth', () => {
    const plain = engine(base).truth;
    const swapped = engine({ ...base, swappedHoses: [0, 2] }).truth;
    expect(swapped.cycleStartsS[0]).toEqual(plain.cycleStartsS[2]);
    expect(swapped.meanKpa(2, 1, 3)).toBeCloseTo(plain.meanKpa(0, 1, 3), 9);
  });
});

describe('sensors', () => {
  const still = { ...base, durationS: 60, sampleRateHz: 500, intakeAnglesDeg: [0] };

  it('rounds to the converter and adds noise of the size asked for', () => {
    const { kpa, timeS, truth } = refillEngine({ ...still, noiseKpa: 0.2, bits: 10 });
    const errors = Array.from(timeS, (t, row) => kpa[0]![row]! - truth.kpaAt(0, t));
    expect(mean(errors)).toBeLessThan(0.01);
    // Rounding to steps of 100/1023 kPa adds a twelfth of the step's square.
    expect(sd(errors)).toBeCloseTo(Math.hypot(0.2, 100 / 1023 / Math.sqrt(12)), 2);
    for (let row = 0; row < 500; row++) {
      const count = ((kpa[0]![row]! - 15) * 1023) / 100;
      expect(Math.abs(count - Math.round(count))).toBeLessThan(1e-9);
    }
  });

  it('spikes single samples about as often as asked', () => {
    const { kpa, timeS, truth } = refillEngine({ ...still, spikesPerS: 3, spikeKpa: 40 });
    const spikes = Array.from(timeS, (t, row) => Math.abs(kpa[0]![row]! - truth.kpaAt(0, t))).filter(
      (e) => e > 5,
    );
    expect(spikes.length).toBeGreaterThan(120);
    expect(spikes.length).toBeLessThan(250);
  });

  it('leaves out rows in a gap and keeps jittered stamps in order', () => {
    const { timeS } = refillEngine({ ...base, gaps: [{ atS: 1, lengthS: 0.4 }], stampJitterS: 0.002 });
    expect(timeS.length).toBe(4600);
    for (let row = 1; row < timeS.length; row++) expect(timeS[row]).toBeGreaterThanOrEqual(timeS[row - 1]!);
  });

  it('reads the air from a fallen hose, a level from a blocked one, and the ends of the scale from bad sensors', () => {
    const { kpa } = fourierEngine({
      ...base,
      bits: 10,
      faults: [
        { channel: 0, fromS: 2, kind: 'off' },
        { channel: 1, fromS: 2, kind: 'blocked' },
        { channel: 2, fromS: 2, kind: 'dead' },
        { channel: 3, fromS: 2, kind: 'saturated' },
      ],
    });
    const after = kpa.map((channel) => channel.subarray(2100));
    expect(mean(after[0]!)).toBeCloseTo(101.325, 0);
    expect(sd(after[1]!)).toBeLessThan(1e-6);
    expect(mean(after[1]!)).toBeLessThan(90);
    expect(mean(after[2]!)).toBeCloseTo(15, 9);
    expect(mean(after[3]!)).toBeCloseTo(115, 9);
    expect(sd(kpa[1]!.subarray(0, 2000))).toBeGreaterThan(5);
  });

  it('a restrictor leaves about one kilopascal of pulse and the same mean', () => {
    const open = refillEngine(base).truth;
    const restricted = refillEngine({ ...base, hose: { restrictedToKpa: 1 } }).truth;
    expect(restricted.depthKpa(0, 2, 4)).toBeGreaterThan(0.5);
    expect(restricted.depthKpa(0, 2, 4)).toBeLessThan(2);
    expect(restricted.meanKpa(0, 1, 4.6)).toBeCloseTo(open.meanKpa(0, 1, 4.6), 0);
  });

  it('a ringing hose swings on after the fall and a lagging one comes late, with the same mean', () => {
    const open = refillEngine({ ...base, intakeAnglesDeg: [0] }).truth;
    const ringing = refillEngine({
      ...base,
      intakeAnglesDeg: [0],
      hose: { ringHz: 90, ringDamping: 0.1 },
    }).truth;
    const lagging = refillEngine({ ...base, intakeAnglesDeg: [0], hose: { lagS: 0.01 } }).truth;
    const [a, b] = [open.cycleStartsS[0]![3]!, open.cycleStartsS[0]![33]!];
    for (const truth of [ringing, lagging])
      expect(truth.meanKpa(0, a, b)).toBeCloseTo(open.meanKpa(0, a, b), 1);
    expect(ringing.depthKpa(0, 1, 2)).toBeGreaterThan(open.depthKpa(0, 1, 2) + 0.5);
    expect(lagging.depthKpa(0, 1, 2)).toBeLessThan(open.depthKpa(0, 1, 2) - 1);
  });
});

describe('what only one engine can promise', () => {
  it('the refill slope of a choked port is as its opening', () => {
    const spec: EngineSpec = { ...base, baroKpa: 130, intakeAnglesDeg: [0], durationS: 3 };
    const slope = (opening: number): number => {
      const { truth } = refillEngine({ ...spec, opening: [opening] });
      const start = truth.cycleStartsS[0]![5]!;
      const [from, to] = [start + 0.05, start + 0.06];
      expect(truth.kpaAt(0, to)).toBeLessThan(0.528 * 130);
      expect((truth.kpaAt(0, to) - truth.kpaAt(0, from)) / 0.01).toBeCloseTo(truth.refillKpaPerS[0]!, 3);
      return (truth.kpaAt(0, to) - truth.kpaAt(0, from)) / 0.01;
    };
    const nominal = slope(0.4);
    expect(slope(0.6) / nominal).toBeCloseTo(1.5, 3);
  });

  it('the drawn engine knows its long-run mean: whole cycles come to it', () => {
    const spec: EngineSpec = {
      ...base,
      durationS: 240,
      sampleRateHz: 250,
      intakeAnglesDeg: [0, 270],
      cycleScatter: 0.01,
      depthScatter: 0.04,
      levelScatter: { sdKpa: 0.3, correlation: 0.5 },
    };
    const { truth } = fourierEngine(spec);
    for (const channel of [0, 1]) {
      const starts = truth.cycleStartsS[channel]!;
      const means = Array.from(starts.subarray(1), (end, i) => truth.meanVacuumKpa(channel, starts[i]!, end));
      // Correlation 0.5 triples the variance of the mean at most.
      const tolerance = (4 * Math.sqrt(3) * sd(means)) / Math.sqrt(means.length);
      expect(Math.abs(mean(means) - truth.longRunVacuumKpa[channel]!)).toBeLessThan(tolerance);
      expect(tolerance).toBeLessThan(0.12);
    }
    expect(fourierEngine({ ...spec, durationS: 2, missedChance: 0.1 }).truth.longRunVacuumKpa).toEqual([
      null,
      null,
    ]);
  });
});

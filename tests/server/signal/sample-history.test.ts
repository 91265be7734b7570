import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { SampleHistory } from '../../../server/signal/sample-history.ts';
import { seededRandom } from '../../engines/seeded-random.ts';

const SEED = 121;

interface Track {
  readonly timesS: readonly number[];
  readonly kpa: readonly number[];
}

/** Uneven times, values that wander so slowly that none is taken for a spike. */
function wandering(rows: number, stream: number, startS = 0): Track {
  const random = seededRandom(SEED, stream);
  const timesS: number[] = [];
  const kpa: number[] = [];
  let timeS = startS;
  for (let row = 0; row < rows; row++) {
    timesS.push(timeS);
    kpa.push(60 + 20 * Math.sin(40 * (timeS - startS)) + 5 * Math.sin(133 * (timeS - startS) + stream));
    timeS += 0.002 * random.between(0.7, 1.3);
  }
  return { timesS, kpa };
}

/** Straight lines between the samples; NaN outside of them. */
function valueAt({ timesS, kpa }: Track, timeS: number): number {
  for (let row = 1; row < timesS.length; row++) {
    if (timesS[row]! < timeS) continue;
    if (timesS[row - 1]! > timeS) return Number.NaN;
    const part = (timeS - timesS[row - 1]!) / (timesS[row]! - timesS[row - 1]!);
    return kpa[row - 1]! + part * (kpa[row]! - kpa[row - 1]!);
  }
  return Number.NaN;
}

/** Mean by Simpson's rule over each piece between samples: exact for straight lines, and another way than running sums. */
function naiveMean(track: Track, fromS: number, toS: number): number {
  const cuts = [fromS, ...track.timesS.filter((timeS) => timeS > fromS && timeS < toS), toS];
  let area = 0;
  for (let piece = 1; piece < cuts.length; piece++) {
    const [a, b] = [cuts[piece - 1]!, cuts[piece]!];
    const inside = (part: number): number => valueAt(track, a + part * (b - a));
    area += ((b - a) / 6) * (inside(1e-12) + 4 * inside(0.5) + inside(1 - 1e-12));
  }
  return area / (toS - fromS);
}

function filled(track: Track, delayS = 0): SampleHistory {
  const history = new SampleHistory([delayS]);
  track.timesS.forEach((timeS, row) => {
    history.push(timeS, [track.kpa[row]!]);
  });
  return history;
}

describe(`the mean between two instants, seed ${SEED}`, () => {
  const track = wandering(400, 1);
  const endS = track.timesS.at(-1)!;

  it('is the integral of the straight lines between samples', () => {
    const history = filled(track);
    const instant = fc.double({ min: 0, max: track.timesS.at(-2)!, noNaN: true });
    fc.assert(
      fc.property(instant, instant, (a, b) => {
        const [fromS, toS] = a < b ? [a, b] : [b, a];
        fc.pre(toS - fromS > 1e-5);
        expect(history.meanBetween(0, fromS, toS)).toBeCloseTo(naiveMean(track, fromS, toS), 6);
      }),
      { seed: SEED, numRuns: 150 },
    );
  });

  it('comes near the integral of the pulse itself, closer than the samples are apart', () => {
    const history = filled(track);
    const steps = 20_000;
    let sum = 0;
    for (let step = 0; step < steps; step++) {
      const timeS = 0.1 + (0.5 * (step + 0.5)) / steps;
      sum += 60 + 20 * Math.sin(40 * timeS) + 5 * Math.sin(133 * timeS + 1);
    }
    expect(Math.abs(history.meanBetween(0, 0.1, 0.6) - sum / steps)).toBeLessThan(0.01);
  });

  it('of a channel that is converted later is that of the same samples, as much later', () => {
    const plain = filled(track);
    const delayed = filled(track, 0.0003);
    for (const [fromS, toS] of [
      [0.1, 0.2],
      [0.05, 0.61],
    ] as const) {
      expect(delayed.meanBetween(0, fromS + 0.0003, toS + 0.0003)).toBeCloseTo(
        plain.meanBetween(0, fromS, toS),
        9,
      );
    }
  });

  it('adds up: the parts weighted by their lengths make the whole', () => {
    const history = filled(track);
    const [a, b, c] = [0.07, 0.31, 0.55];
    const parts = (history.meanBetween(0, a, b) * (b - a) + history.meanBetween(0, b, c) * (c - b)) / (c - a);
    expect(history.meanBetween(0, a, c)).toBeCloseTo(parts, 9);
  });

  it('is no number before the first sample, after the newest, backwards or over nothing', () => {
    const history = filled(track);
    for (const [fromS, toS] of [
      [-0.1, 0.2],
      [0.2, endS + 0.1],
      [0.3, 0.2],
      [0.2, 0.2],
    ] as const) {
      expect(history.meanBetween(0, fromS, toS)).toBeNaN();
    }
    expect(new SampleHistory([0]).meanBetween(0, 0, 1)).toBeNaN();
  });

  it('is the same after hours as in the first second: running sums do not wear out', () => {
    const startS = 3 * 3600;
    const late = wandering(400, 1, startS);
    const history = new SampleHistory([0]);
    for (let row = 0; row < 200_000; row++) history.push(row * 0.05, [60 + (row % 7)]);
    late.timesS.forEach((timeS, row) => {
      history.push(timeS, [late.kpa[row]!]);
    });
    const [fromS, toS] = [startS + 0.1, startS + 0.5];
    expect(history.meanBetween(0, fromS, toS)).toBeCloseTo(naiveMean(late, fromS, toS), 5);
  });
});

describe('what is kept', () => {
  it.each([250, 1000, 2000, 8000])('at %i samples a second at least the last four seconds', (rateHz) => {
    const history = new SampleHistory([0, 0]);
    const rows = 9 * rateHz;
    for (let row = 0; row < rows; row++) history.push(row / rateHz, [row % 50, 60 + Math.sin(row / 9)]);
    expect(history.rows).toBe(rows);
    expect(history.timeOfRow(rows - 1) - history.timeOfRow(history.firstRow)).toBeGreaterThanOrEqual(4);
    // What was kept over the growing of the ring is what was pushed.
    for (let row = history.firstRow; row < history.finalRows; row += 97) {
      expect(history.timeOfRow(row)).toBeCloseTo(row / rateHz, 12);
      expect(history.value(1, row)).toBeCloseTo(60 + Math.sin(row / 9), 12);
    }
    expect(history.meanBetween(0, 7, 7.4)).toBeCloseTo(24.5, 6);
  });

  it('does not grow with the length of the recording', () => {
    const history = new SampleHistory([0]);
    for (let row = 0; row < 300_000; row++) history.push(row / 1000, [60]);
    expect(history.rows - history.firstRow).toBeLessThanOrEqual(8192);
  });

  it('is forgotten when it is cleared, and the next sample may be of any time', () => {
    const history = filled(wandering(100, 2));
    history.clear();
    expect(history.finalRows).toBeLessThanOrEqual(history.firstRow);
    expect(history.push(-5, [50])).toBe(true);
    expect(history.push(-4.998, [51])).toBe(true);
    expect(history.push(-4.996, [52])).toBe(true);
    expect(history.meanBetween(0, -5, -4.998)).toBeCloseTo(50.5, 9);
  });
});

describe('rows', () => {
  it.each([Number.NaN, Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY, 0.5, 0.2])(
    'with the time %d after 0.5 s are refused and leave no trace',
    (timeS) => {
      const history = new SampleHistory([0]);
      history.push(0.498, [50]);
      history.push(0.5, [51]);
      expect(history.push(timeS, [900])).toBe(false);
      expect(history.rows).toBe(2);
      expect(history.push(0.502, [52])).toBe(true);
      expect(history.meanBetween(0, 0.498, 0.5)).toBeCloseTo(50.5, 9);
    },
  );

  it('can be found by time, exactly at a sample, between two, before all and after all', () => {
    const history = filled({ timesS: [1, 2, 4, 8], kpa: [50, 51, 52, 53] });
    const asked = [0.5, 1, 1.5, 2, 3.999, 4, 7, 8, 99];
    expect(asked.map((timeS) => history.rowAtOrBefore(0, timeS))).toEqual([-1, 0, 0, 1, 1, 2, 2, 3, 3]);
  });
});

describe(`missing samples and spikes, seed ${SEED}`, () => {
  const track = wandering(300, 3);
  const pushed = (kpa: readonly number[]): SampleHistory => filled({ timesS: track.timesS, kpa });

  it('a missing stretch is bridged in a straight line and known as a hole of its length', () => {
    const [from, to] = [100, 106];
    const history = pushed(track.kpa.map((kpa, row) => (row > from && row < to ? Number.NaN : kpa)));
    const bridged = {
      timesS: track.timesS.filter((_, row) => row <= from || row >= to),
      kpa: track.kpa.filter((_, row) => row <= from || row >= to),
    };
    const [a, b] = [track.timesS[90]!, track.timesS[120]!];
    expect(history.meanBetween(0, a, b)).toBeCloseTo(naiveMean(bridged, a, b), 6);
    expect(history.longestHoleS(0, a, b)).toBeCloseTo(track.timesS[to]! - track.timesS[from]!, 9);
    expect(history.longestHoleS(0, track.timesS[150]!, track.timesS[200]!)).toBe(0);
    expect(history.longestHoleS(0, 0, track.timesS[90]!)).toBe(0);
  });

  it('rows that were lost on the way are a hole in every channel', () => {
    const history = new SampleHistory([0, 0]);
    for (let row = 0; row < 300; row++) {
      if (row < 100 || row >= 120) history.push(row * 0.002, [60, row % 3]);
    }
    for (const channel of [0, 1]) expect(history.longestHoleS(channel, 0, 0.59)).toBeCloseTo(0.042, 9);
  });

  it('a channel that ends has a hole that grows until it is asked', () => {
    const history = new SampleHistory([0, 0]);
    for (let row = 0; row < 300; row++) history.push(row * 0.002, [60, row < 100 ? 60 : Number.NaN]);
    expect(history.longestHoleS(0, 0, 0.59)).toBe(0);
    expect(history.longestHoleS(1, 0, 0.59)).toBeCloseTo(0.59 - 0.198, 9);
  });

  it('a channel that begins late takes nothing from before', () => {
    const history = new SampleHistory([0]);
    for (let row = 0; row < 300; row++) history.push(row * 0.002, [row < 100 ? Number.NaN : 60 + (row % 5)]);
    expect(history.longestHoleS(0, 0, 0.4)).toBeGreaterThan(0.19);
    expect(history.meanBetween(0, 0.3, 0.5)).toBeCloseTo(62, 1);
  });

  it.each([-40, -12, 12, 40])(
    'a single-sample spike of %d kPa is replaced, counted and not felt',
    (spikeKpa) => {
      // Long enough for the guard to have learned how little this channel jumps.
      const long = wandering(3000, 4);
      const at = 2900;
      const kpa = long.kpa.map((value, row) => (row === at ? value + spikeKpa : value));
      const history = filled({ timesS: long.timesS, kpa });
      expect(history.spikes[0]).toBe(1);
      expect(history.value(0, at)).toBeCloseTo(0.5 * (long.kpa[at - 1]! + long.kpa[at + 1]!), 9);
      const [a, b] = [long.timesS[2850]!, long.timesS[2950]!];
      expect(history.meanBetween(0, a, b)).toBeCloseTo(naiveMean(long, a, b), 2);
    },
  );

  it('a smooth pulse has no spike, and a step is none', () => {
    expect(pushed(track.kpa).spikes[0]).toBe(0);
    const step = pushed(track.kpa.map((kpa, row) => kpa + (row > 150 ? 20 : 0)));
    expect(step.value(0, 151)).toBe(track.kpa[151]! + 20);
    expect(step.value(0, 152)).toBe(track.kpa[152]! + 20);
  });

  it('the same samples in any order of channels are the same history', () => {
    fc.assert(
      fc.property(
        fc.array(fc.double({ min: 20, max: 110, noNaN: true }), { minLength: 5, maxLength: 60 }),
        (kpa) => {
          const [one, other] = [new SampleHistory([0, 0.0001]), new SampleHistory([0.0001, 0])];
          kpa.forEach((value, row) => {
            one.push(row * 0.002, [value, 130 - value]);
            other.push(row * 0.002, [130 - value, value]);
          });
          const [a, b] = [0.002, (kpa.length - 2) * 0.002];
          expect(other.meanBetween(1, a, b)).toBe(one.meanBetween(0, a, b));
          expect(other.meanBetween(0, a, b)).toBe(one.meanBetween(1, a, b));
        },
      ),
      { seed: SEED, numRuns: 50 },
    );
  });
});

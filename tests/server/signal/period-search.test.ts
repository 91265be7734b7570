import { ACF2PLUS, YIN } from 'pitchfinder';
import { describe, expect, it } from 'vitest';
import { FoldedVariance } from '../../../server/signal/folded-variance.ts';
import { searchPeriod } from '../../../server/signal/period-search.ts';
import { SampleHistory } from '../../../server/signal/sample-history.ts';
import type { Engine } from '../../engines/engine-recording.ts';
import { fourierEngine } from '../../engines/fourier-engine.ts';
import { refillEngine } from '../../engines/refill-engine.ts';
import { seededRandom } from '../../engines/seeded-random.ts';

const SEED = 111;
const RATE_HZ = 1024;
const WINDOW = 1024;
/** 9000 and 250 r/min of a four-stroke. */
const SHORTEST_S = 120 / 9000;
const LONGEST_S = 120 / 250;
const ENGINES: [string, Engine][] = [
  ['refill', refillEngine],
  ['fourier', fourierEngine],
];

function historyOf(columns: readonly ArrayLike<number>[], rateHz = RATE_HZ): SampleHistory {
  const history = new SampleHistory(columns.map(() => 0));
  for (let row = 0; row < columns[0]!.length; row++) {
    history.push(
      row / rateHz,
      columns.map((column) => column[row]!),
    );
  }
  return history;
}

function periodOf(columns: readonly ArrayLike<number>[], pulses = columns.map(() => 1)): number | null {
  return searchPeriod(historyOf(columns), SHORTEST_S, LONGEST_S, pulses)?.periodS ?? null;
}

/** The last second about its mean, as the pitch finders of the package pitchfinder want it. */
function lastSecond(column: ArrayLike<number>): Float32Array {
  const values = Float32Array.from(column).slice(-WINDOW - 1);
  const mean = values.reduce((sum, value) => sum + value, 0) / values.length;
  return values.map((value) => value - mean);
}

describe.each(ENGINES)(`one cylinder of the %s engine, seed ${SEED}`, (_, engine) => {
  it.each([620, 850, 1100, 1400, 1900, 2600])(
    'turning %i r/min has the period that YIN finds, and the true one',
    (rpm) => {
      const { kpa, truth } = engine({
        seed: SEED + rpm,
        durationS: 2.5,
        sampleRateHz: RATE_HZ,
        intakeAnglesDeg: [0],
        rpm,
        cycleScatter: 0.004,
        depthScatter: 0.02,
        noiseKpa: 0.1,
        bits: 10,
      });
      const found = periodOf([kpa[0]!])!;
      const yinHz = YIN({ sampleRate: RATE_HZ })(lastSecond(kpa[0]!))!;
      expect(Math.abs(found * yinHz - 1)).toBeLessThan(0.02);
      expect(Math.abs(found / (120 / truth.meanRpm(1.5, 2.5)) - 1)).toBeLessThan(0.015);
    },
  );
});

describe(`where pitch finders jump to another octave, seed ${SEED}`, () => {
  const pulse = (phase: number): number =>
    Math.max(0, Math.sin(2 * Math.PI * (phase - Math.floor(phase)))) ** 2;
  const column = (at: (timeS: number) => number, stream: number): Float64Array => {
    const random = seededRandom(SEED, stream);
    return Float64Array.from(
      { length: 2.5 * RATE_HZ },
      (_, row) => at(row / RATE_HZ) + 0.1 * random.normal(),
    );
  };

  it('every second pulse of one of three cylinders is weak: the cycle is not two cycles', () => {
    const cycleS = 0.11;
    const weakEverySecond = (timeS: number): number => {
      const phase = timeS / cycleS;
      return 90 - 40 * pulse(phase) * (Math.floor(phase) % 2 === 0 ? 1 : 0.5);
    };
    const sound = (part: number) => (timeS: number) => 90 - 38 * pulse(timeS / cycleS + part);
    const alternating = column(weakEverySecond, 1);
    const found = periodOf([column(sound(0.33), 2), alternating, column(sound(0.67), 3)])!;
    expect(found / cycleS).toBeCloseTo(1, 2);
    // The trap is real: by itself this channel does repeat after two cycles only.
    const alone = 1 / YIN({ sampleRate: RATE_HZ })(lastSecond(alternating))!;
    expect(alone / cycleS).toBeCloseTo(2, 1);
  });

  const twoBumps = (cycleS: number, apart: number, second: number, stream: number): Float64Array =>
    column((timeS) => {
      const phase = timeS / cycleS - Math.floor(timeS / cycleS);
      const bump = (from: number): number =>
        phase > from && phase < from + 0.25 ? pulse(2 * (phase - from)) : 0;
      return 95 - 40 * (bump(0) + second * bump(apart));
    }, stream);

  it.each([
    [0.3, 0.6],
    [0.3, 0.95],
    [0.4, 0.6],
    [0.4, 0.95],
    [0.5, 0.3],
  ])('a second bump %d cycles later, %d as deep as the first, is no cycle of its own', (apart, second) => {
    for (const cycleS of [0.08, 0.13, 0.19]) {
      expect(periodOf([twoBumps(cycleS, apart, second, 4)])! / cycleS).toBeCloseTo(1, 2);
    }
  });

  it('equally spaced pulses, in turn strong and weak, are cycles of which every second one is weak', () => {
    const column = twoBumps(0.2, 0.5, 0.7, 5);
    expect(periodOf([column])! / 0.1).toBeCloseTo(1, 1);
    // Nothing in one channel tells this from a long cycle with two bumps: an autocorrelation finds the same.
    expect(1 / ACF2PLUS({ sampleRate: RATE_HZ })(lastSecond(column))! / 0.1).toBeCloseTo(1, 1);
  });

  it('the third harmonic on top of the pulse is not the cycle', () => {
    const cycleS = 0.1;
    const ringing = column((t) => 80 - 25 * pulse(t / cycleS) + 9 * Math.sin((6 * Math.PI * t) / cycleS), 5);
    expect(periodOf([ringing])! / cycleS).toBeCloseTo(1, 2);
  });

  it.each([2, 3, 4])('a manifold shared by %i cylinders, declared, gives whole cycles', (pulses) => {
    const cycleS = 0.12;
    const even = column((timeS) => 70 - 8 * pulse((pulses * timeS) / cycleS), 6);
    expect(periodOf([even], [pulses])! / cycleS).toBeCloseTo(1, 2);
    // Undeclared, nothing could tell.
    expect((pulses * periodOf([even])!) / cycleS).toBeCloseTo(1, 2);
  });

  it('a dead cylinder and one that is all noise do not hide the cycle of the third', () => {
    const cycleS = 0.09;
    const random = seededRandom(SEED, 7);
    const flat = column(() => 101.3, 8);
    const noise = column(() => 60 + 4 * random.normal(), 9);
    const sound = column((timeS) => 90 - 35 * pulse(timeS / cycleS), 10);
    expect(periodOf([flat, noise, sound])! / cycleS).toBeCloseTo(1, 2);
  });

  it('noise, standing air and fewer than three cycles have no period', () => {
    const random = seededRandom(SEED, 11);
    expect(periodOf([column(() => 60 + 5 * random.normal(), 12)])).toBeNull();
    expect(periodOf([column(() => 101.3, 13)])).toBeNull();
    const sound = column((timeS) => 90 - 35 * pulse(timeS / 0.12), 14);
    expect(periodOf([sound.slice(0, Math.round(0.3 * RATE_HZ))])).toBeNull();
    expect(periodOf([sound.slice(0, 5)])).toBeNull();
  });
});

describe('what a fold explains', () => {
  const random = seededRandom(SEED, 20);
  const sawtooth = (phase: number): number => phase - Math.floor(phase);
  const periodS = 0.1;
  const kpa = (noise: number) =>
    Float64Array.from(
      { length: 2048 },
      (_, row) => 60 + 40 * sawtooth(row / RATE_HZ / periodS) + noise * random.normal(),
    );
  const explained = (values: Float64Array, trialS: number) =>
    new FoldedVariance(historyOf([values])).explained(0, trialS, 1, 24);

  it('at the true period is nearly all, at its double as much, at others little', () => {
    const values = kpa(0.2);
    expect(explained(values, periodS)).toBeGreaterThan(0.85);
    expect(explained(values, 2 * periodS)).toBeGreaterThan(0.85);
    for (const part of [0.37, 0.61, 0.83, 1.21, 1.63]) {
      expect(explained(values, part * periodS)).toBeLessThan(0.35);
    }
  });

  it('falls with the share of noise in the variance, as variances add', () => {
    // A sawtooth of height H has the variance H²/12.
    const pulseVariance = 40 ** 2 / 12;
    for (const noise of [4, 8]) {
      const share = pulseVariance / (pulseVariance + noise * noise);
      expect(Math.abs(explained(kpa(noise), periodS) - share)).toBeLessThan(0.12);
    }
  });

  it('in noise alone is nothing, and a smooth fold is smoother than a chance one', () => {
    const noise = Float64Array.from({ length: 2048 }, () => 60 + 5 * random.normal());
    expect(explained(noise, periodS)).toBe(0);
    const folds = new FoldedVariance(historyOf([kpa(0.2)]));
    expect(folds.roughness(0, periodS, 1, 24)).toBeLessThan(0.6);
    expect(new FoldedVariance(historyOf([noise])).roughness(0, periodS, 1, 24)).toBeGreaterThan(1);
  });
});

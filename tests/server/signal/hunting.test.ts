import FFT from 'fft.js';
import { describe, expect, it } from 'vitest';
import { findHunting } from '../../../server/signal/hunting.ts';
import { type SeededRandom, seededRandom } from '../../engines/seeded-random.ts';
import { autoregressiveSeries } from './autoregressive-series.ts';

const SEED = 81;
const IDLE_RPM = 1000;

/** One speed per cycle, each at the middle of its cycle: faster cycles are closer together. */
function cyclesOf(
  spanS: number,
  random: SeededRandom,
  speedAt: (timeS: number) => number,
  noiseRpm: number,
): { timesS: number[]; speedsRpm: number[] } {
  const timesS: number[] = [];
  const speedsRpm: number[] = [];
  for (let startS = 0; startS < spanS; ) {
    const speed = speedAt(startS + 0.06) + noiseRpm * random.normal();
    timesS.push(startS + 60 / speed);
    speedsRpm.push(speed);
    startS += 120 / speed;
  }
  return { timesS, speedsRpm };
}

describe(`a hunting idle, seed ${SEED}`, () => {
  const CASES = Array.from({ length: 24 }, (_, index) => {
    const random = seededRandom(SEED, index);
    return {
      spanS: random.between(12, 30),
      amplitudeRpm: IDLE_RPM * random.between(0.015, 0.08),
      periodS: random.between(0.7, 5),
      noiseRpm: IDLE_RPM * random.between(0.002, 0.012),
      random,
    };
  });

  it.each(CASES)(
    'of $amplitudeRpm r/min every $periodS s is found with its amplitude and period',
    ({ spanS, amplitudeRpm, periodS, noiseRpm, random }) => {
      const phase = random.between(0, 2 * Math.PI);
      const { timesS, speedsRpm } = cyclesOf(
        spanS,
        random,
        (timeS) => IDLE_RPM + amplitudeRpm * Math.sin((2 * Math.PI * timeS) / periodS + phase),
        noiseRpm,
      );
      const found = findHunting(timesS, speedsRpm)!;
      // Cramér-Rao bounds of a single tone in white noise (Rife and Boorstyn, IEEE Trans. IT-20, 591 (1974)), four
      // standard errors of each; 2 % of the amplitude for the speed changing within a cycle; the steps of the search.
      const n = timesS.length;
      const amplitudeSe = noiseRpm * Math.sqrt(2 / n);
      const frequencySe = (Math.sqrt(24 / n) * noiseRpm) / (amplitudeRpm * 2 * Math.PI * spanS);
      expect(Math.abs(found.amplitudeRpm - amplitudeRpm)).toBeLessThan(4 * amplitudeSe + 0.02 * amplitudeRpm);
      expect(Math.abs(1 / found.periodS - 1 / periodS)).toBeLessThan(4 * frequencySe + 0.02 / spanS);
    },
  );

  it('at even times is the line that the fast Fourier transform shows', () => {
    const n = 256;
    const stepS = 0.12;
    const fft = new FFT(n);
    const spectrum = fft.createComplexArray();
    for (let run = 0; run < 20; run++) {
      const random = seededRandom(SEED, 100 + run);
      const bin = 5 + random.index(45);
      const amplitude = IDLE_RPM * random.between(0.015, 0.06);
      const phase = random.between(0, 2 * Math.PI);
      const speedsRpm = Array.from(
        { length: n },
        (_, i) => IDLE_RPM + amplitude * Math.cos((2 * Math.PI * bin * i) / n + phase) + 8 * random.normal(),
      );
      fft.realTransform(spectrum, speedsRpm);
      const magnitude = (k: number): number => (2 / n) * Math.hypot(spectrum[2 * k]!, spectrum[2 * k + 1]!);
      let strongest = 1;
      for (let k = 2; k < n / 2; k++) if (magnitude(k) > magnitude(strongest)) strongest = k;
      const found = findHunting(
        speedsRpm.map((_, i) => i * stepS),
        speedsRpm,
      )!;
      expect(strongest).toBe(bin);
      expect(Math.abs(1 / found.periodS - strongest / (n * stepS))).toBeLessThan(0.1 / (n * stepS));
      expect(found.amplitudeRpm / magnitude(strongest)).toBeCloseTo(1, 2);
    }
  });

  it('is the same in the figures wherever time begins, and twice as fast in half the time', () => {
    const random = seededRandom(SEED, 200);
    const { timesS, speedsRpm } = cyclesOf(
      20,
      random,
      (timeS) => IDLE_RPM + 40 * Math.sin(2 * Math.PI * 0.6 * timeS),
      8,
    );
    const found = findHunting(timesS, speedsRpm)!;
    const later = findHunting(
      timesS.map((timeS) => timeS + 7200),
      speedsRpm,
    )!;
    expect(later.amplitudeRpm).toBeCloseTo(found.amplitudeRpm, 6);
    expect(later.periodS).toBeCloseTo(found.periodS, 6);
    const faster = findHunting(
      timesS.map((timeS) => timeS / 2),
      speedsRpm,
    )!;
    expect(faster.periodS).toBeCloseTo(found.periodS / 2, 2);
    expect(faster.amplitudeRpm).toBeCloseTo(found.amplitudeRpm, 0);
  });
});

describe(`no hunting, seed ${SEED}`, () => {
  it.each([
    [0, 40],
    [0, 90],
    [0.3, 90],
    [-0.4, 60],
  ])('is found in at most five of 1000 uneven idles: autocorrelation %d, %i cycles', (rho, cycles) => {
    const random = seededRandom(SEED, 300 + cycles + 100 * rho);
    let found = 0;
    for (let run = 0; run < 1000; run++) {
      const speedsRpm = autoregressiveSeries(random, cycles, rho).map((one) => IDLE_RPM * (1 + 0.012 * one));
      let timeS = 0;
      const timesS = speedsRpm.map((speed) => {
        timeS += 120 / speed;
        return timeS - 60 / speed;
      });
      if (findHunting(timesS, speedsRpm) !== null) found++;
    }
    expect(found).toBeLessThanOrEqual(5);
  });

  it('in a swing of less than 0.4 % of the speed, however regular', () => {
    const random = seededRandom(SEED, 400);
    const swing = (part: number) =>
      cyclesOf(20, random, (t) => IDLE_RPM * (1 + part * Math.sin(2 * Math.PI * 0.5 * t)), 0.5);
    const [small, larger] = [swing(0.003), swing(0.006)];
    expect(findHunting(small.timesS, small.speedsRpm)).toBeNull();
    expect(findHunting(larger.timesS, larger.speedsRpm)).not.toBeNull();
  });

  it('in one slow rise and fall, in fewer than 16 cycles, and in a speed that never changes', () => {
    const random = seededRandom(SEED, 401);
    const slow = cyclesOf(12, random, (t) => IDLE_RPM + 60 * Math.sin((2 * Math.PI * t) / 24), 5);
    const found = findHunting(slow.timesS, slow.speedsRpm);
    expect(found === null || found.periodS > 5).toBe(true);
    const few = cyclesOf(1.5, random, (t) => IDLE_RPM + 60 * Math.sin(2 * Math.PI * 1.5 * t), 1);
    expect(few.timesS.length).toBeLessThan(16);
    expect(findHunting(few.timesS, few.speedsRpm)).toBeNull();
    expect(findHunting([], [])).toBeNull();
    const even = Array.from({ length: 100 }, (_, i) => i * 0.12);
    expect(
      findHunting(
        even,
        even.map(() => 1000),
      ),
    ).toBeNull();
  });
});

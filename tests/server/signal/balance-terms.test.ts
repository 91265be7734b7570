import { mean, sum } from 'simple-statistics';
import { describe, expect, it } from 'vitest';
import { balanceVerdict } from '../../../server/signal/balance-verdict.ts';
import type { EngineSetup } from '../../../server/signal/engine-setup.ts';
import { Instrument, type InstrumentOptions } from '../../../server/signal/instrument.ts';
import type { Reading } from '../../../server/signal/reading.ts';
import type { EngineRecording } from '../../engines/engine-recording.ts';
import { fourierEngine } from '../../engines/fourier-engine.ts';
import { refillEngine } from '../../engines/refill-engine.ts';
import { setupOf } from '../../truth/analyse-recording-of.ts';

/** What the comparison is told, and how its figures hang together. */
const SEED = 161;
const spec = {
  seed: SEED,
  durationS: 5,
  sampleRateHz: 250,
  intakeAnglesDeg: [0, 180, 540],
  rpm: 1000,
  cycleScatter: 0.008,
  depthScatter: 0.02,
  noiseKpa: 0.1,
  bits: 10,
};
const RECORDINGS: [string, EngineRecording][] = [
  ['refill', refillEngine(spec)],
  ['fourier', fourierEngine(spec)],
];

describe.each(RECORDINGS)(`a reading on the %s engine, seed ${SEED}`, (_, recording) => {
  const played = (terms: Partial<EngineSetup> = {}, options: InstrumentOptions = {}): Instrument => {
    const instrument = new Instrument({ ...setupOf(recording), ...terms }, options);
    recording.timeS.forEach((timeS, row) => {
      instrument.push(
        timeS,
        recording.kpa.map((column) => column[row]!),
      );
    });
    return instrument;
  };
  const plain = played().reading();
  const gapsOf = ({ cylinders }: Reading): number[] => cylinders.map((one) => one.gapKpa!);

  it('gaps to the mean of all add up to nothing, and the spread is the largest less the smallest', () => {
    const gaps = gapsOf(plain);
    expect(sum(gaps)).toBeCloseTo(0, 9);
    expect(plain.spreadKpa).toBeCloseTo(Math.max(...gaps) - Math.min(...gaps), 9);
    expect(plain.spreadExpandedKpa).toBeGreaterThan(0);
  });

  it('a vacuum less the mean vacuum is about its gap: both are means of whole cycles', () => {
    const vacuums = plain.cylinders.map((one) => one.vacuumKpa!);
    plain.cylinders.forEach((one, cylinder) => {
      expect(Math.abs(vacuums[cylinder]! - mean(vacuums) - one.gapKpa!)).toBeLessThan(0.3);
    });
  });

  it.each([0, 1, 2])(
    'cylinder index %i as the reference has no gap, and the others have theirs to it',
    (reference) => {
      const { cylinders } = played({ reference }).reading();
      expect(cylinders[reference]).toMatchObject({ gapKpa: 0, gapExpandedKpa: 0, verdict: 'inside' });
      cylinders.forEach((one, cylinder) => {
        const between = plain.cylinders[cylinder]!.gapKpa! - plain.cylinders[reference]!.gapKpa!;
        expect(Math.abs(one.gapKpa! - between)).toBeLessThan(0.25);
        expect(one.vacuumKpa).toBe(plain.cylinders[cylinder]!.vacuumKpa);
      });
    },
  );

  it('another barometric pressure moves every vacuum by the difference and no gap', () => {
    const { barometricKpa } = setupOf(recording);
    const moved = played({ barometricKpa: barometricKpa - 4 }).reading();
    moved.cylinders.forEach((one, cylinder) => {
      const before = plain.cylinders[cylinder]!;
      for (const figure of ['vacuumKpa', 'lastCycleKpa', 'peakVacuumKpa'] as const)
        expect(one[figure]).toBeCloseTo(before[figure]! - 4, 9);
      expect(one.gapKpa).toBe(before.gapKpa);
      expect(one.pulseDepthKpa).toBe(before.pulseDepthKpa);
    });
  });

  it('terms changed at the end are as if they had been so from the beginning, but for a new reference', () => {
    const late = played();
    const terms = { barometricKpa: 97, reference: 'mean', toleranceKpa: 0.2, intakeAnglesDeg: null } as const;
    late.setTerms(terms);
    expect(late.reading()).toEqual(played(terms).reading());
    late.setTerms({ ...terms, reference: 1 });
    expect(late.reading().cylinders.map((one) => one.gapKpa)).toEqual([null, null, null]);
    expect(late.reading()).toMatchObject({ spreadKpa: null, verdict: 'not-sure' });
  });

  it('expanded uncertainties are twice the root sum of squares of scatter and calibration (GUM 5.1.2, 6.2.1)', () => {
    const standardUncertaintyKpa = [0.1, 0.2, 0.3];
    const differenceUncertaintyKpa = [0.05, 0.15, 0.25];
    const { cylinders } = played({}, { standardUncertaintyKpa, differenceUncertaintyKpa }).reading();
    cylinders.forEach((one, cylinder) => {
      const before = plain.cylinders[cylinder]!;
      expect(one.vacuumStandardErrorKpa).toBe(before.vacuumStandardErrorKpa);
      expect(before.vacuumExpandedKpa).toBeCloseTo(2 * before.vacuumStandardErrorKpa!, 12);
      const single = Math.hypot(before.vacuumStandardErrorKpa!, standardUncertaintyKpa[cylinder]!);
      expect(one.vacuumExpandedKpa).toBeCloseTo(2 * single, 12);
      const difference = Math.hypot(before.gapExpandedKpa! / 2, differenceUncertaintyKpa[cylinder]!);
      expect(one.gapExpandedKpa).toBeCloseTo(2 * difference, 12);
      expect(one.gapKpa).toBe(before.gapKpa);
    });
  });

  it.each([0.05, 0.3, 1, 4, 20])(
    'within %d kPa the whole is inside only if all are, and outside if one is',
    (toleranceKpa) => {
      const reading = played({ toleranceKpa }).reading();
      const verdicts = reading.cylinders.map((one) => one.verdict);
      expect(verdicts).toEqual(
        reading.cylinders.map((one) => balanceVerdict(one.gapKpa, one.gapExpandedKpa, toleranceKpa)),
      );
      const all = verdicts.every((one) => one === 'inside');
      const any = verdicts.includes('outside');
      expect(reading.verdict).toBe(any ? 'outside' : all ? 'inside' : 'not-sure');
      if (!verdicts.includes('not-sure')) expect(reading.cyclesNeeded).toBeNull();
    },
  );

  it('what is not sure yet says how many cycles it needs, until calibration alone is too wide', () => {
    const [, second] = plain.cylinders;
    const toleranceKpa = Math.abs(second!.gapKpa!) + 0.8 * second!.gapExpandedKpa!;
    const unsure = played({ toleranceKpa, reference: 'mean' }).reading();
    expect(unsure.cylinders[1]!.verdict).toBe('not-sure');
    const alone = played({ toleranceKpa }, { differenceUncertaintyKpa: [9, 9, 9] }).reading();
    expect(alone.cyclesNeeded).toBeNull();
    // Cycle by cycle until the interval no longer reaches over the edge of the band, for the slowest of them.
    const needs = unsure.cylinders
      .filter((one) => one.verdict === 'not-sure')
      .map(({ gapKpa, gapExpandedKpa, cycles }) => {
        const room = Math.abs(Math.abs(gapKpa!) - toleranceKpa);
        let more = 0;
        while (gapExpandedKpa! * Math.sqrt(cycles / (cycles + more)) > room) more++;
        return more;
      });
    expect(unsure.cyclesNeeded).toBe(Math.max(...needs));
  });
});

describe(`one cylinder alone, seed ${SEED}`, () => {
  it('has a vacuum and a settling of its own, but no gap, spread or verdict', () => {
    const recording = refillEngine({ ...spec, intakeAnglesDeg: [0] });
    const instrument = new Instrument(setupOf(recording));
    recording.timeS.forEach((timeS, row) => {
      instrument.push(timeS, [recording.kpa[0]![row]!]);
    });
    const reading = instrument.reading();
    expect(reading).toMatchObject({ spreadKpa: null, spreadExpandedKpa: null, verdict: 'not-sure' });
    expect(reading.cylinders[0]).toMatchObject({ gapKpa: null, gapExpandedKpa: null, settling: 'steady' });
    expect(reading.cylinders[0]!.vacuumKpa! - recording.truth.meanVacuumKpa(0, 1, 4.9)).toBeCloseTo(0, 0);
    expect(reading.cylinders[0]!.cycles).toBeGreaterThan(20);
  });
});

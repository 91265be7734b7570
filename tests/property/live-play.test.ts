import { describe, expect, it } from 'vitest';
import { Instrument } from '../../server/signal/instrument.ts';
import type { Reading } from '../../server/signal/reading.ts';
import { seededRandom } from '../engines/seeded-random.ts';
import { cases } from '../truth/grid.ts';
import { analysed, type ToldRecording, toldRecording } from './told-recording.ts';

/** How rows are cut into pieces on their way, and when somebody looks, is no part of the measurement. */
const SEED = 20_078;
const CASES = cases(8, SEED, { maxRpm: 3000, minSamplesPerCycle: 12 }).map((one, index) => {
  const told = toldRecording(one.engine({ ...one.spec, durationS: 4 }));
  return { label: one.label, told, random: seededRandom(SEED, index) };
});

describe.each(CASES)('$label', ({ told, random }) => {
  it('a reading is the same however often and whenever others were asked for', () => {
    const unasked = new Instrument(told.setup, told);
    played(unasked, told);
    const asked = new Instrument(told.setup, told);
    played(asked, told, () => {
      if (random.uniform() < 0.02) asked.reading();
      if (random.uniform() < 0.01) asked.folded();
      if (random.uniform() < 0.01) asked.phases();
    });
    expect(asked.reading()).toEqual(unasked.reading());
    expect(asked.folded()).toEqual(unasked.folded());
  });

  it('a reading asked for twice at the same moment is twice the same', () => {
    const instrument = new Instrument(told.setup, told);
    played(instrument, told, () => {
      if (random.uniform() < 0.01) expect(instrument.reading()).toEqual(instrument.reading());
    });
  });

  it('a recording played again gives what was seen live, at every moment', () => {
    const [first, second] = [seenLive(told), seenLive(told)];
    expect(second).toEqual(first);
  });

  it('the cycles seen live are those that the analysis of the recording lists', () => {
    const analysis = analysed(told);
    const live = told.kpa.map((): number[] => []);
    const instrument = new Instrument(told.setup, told);
    played(instrument, told, () => {
      instrument.reading().cylinders.forEach((one, cylinder) => {
        const seen = live[cylinder]!;
        if (one.lastCycleKpa !== null && one.lastCycleKpa !== seen.at(-1)) seen.push(one.lastCycleKpa);
      });
    });
    live.forEach((seen, cylinder) => {
      const { state, cycleTable } = analysis.cylinders[cylinder]!;
      const listed = cycleTable.map((row) => row.meanVacuumKpa).filter((kpa) => kpa !== null);
      // Live, nothing is shown before the sensor is known to be sound, nor cycles that end only with the recording,
      // and of several cycles that become known in one row only the newest.
      expect(seen.filter((kpa) => !listed.includes(kpa))).toEqual([]);
      expect(listed.filter((kpa) => seen.includes(kpa))).toEqual(seen);
      if (state === 'ok') expect(seen.length).toBeGreaterThan(0.4 * listed.length);
    });
  });
});

function played(instrument: Instrument, told: ToldRecording, afterRow: () => void = () => {}): void {
  const row = new Float64Array(told.kpa.length);
  for (let index = 0; index < told.timeS.length; index++) {
    for (let channel = 0; channel < row.length; channel++) row[channel] = told.kpa[channel]![index]!;
    instrument.push(told.timeS[index]!, row);
    afterRow();
  }
}

function seenLive(told: ToldRecording): Reading[] {
  const readings: Reading[] = [];
  const instrument = new Instrument(told.setup, told);
  let rows = 0;
  played(instrument, told, () => {
    if (rows++ % 50 === 0) readings.push(instrument.reading());
  });
  return readings;
}

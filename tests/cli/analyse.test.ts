import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { mean, rootMeanSquare, sampleStandardDeviation } from 'simple-statistics';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { analyseRecording } from '../../server/signal/analyse-recording.ts';
import { type CsvOptions, engineCsv } from '../engines/engine-csv.ts';
import type { Engine, EngineRecording } from '../engines/engine-recording.ts';
import type { EngineSpec } from '../engines/engine-spec.ts';
import { fourierEngine } from '../engines/fourier-engine.ts';
import { refillEngine } from '../engines/refill-engine.ts';
import type { SampledRows } from '../engines/sensing.ts';
import { figuresApart } from '../property/figures-apart.ts';
import { setupOf } from '../truth/analyse-recording-of.ts';
import { analyse } from './analyse-program.ts';
import { type AnalysisJson, parsedAnalysis, withoutReason } from './analysis-form.ts';

const SEED = 151;
let folder = '';
let files = 0;
beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), 'idlewright-analyse-'));
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

function fileOf(text: string): string {
  const path = join(folder, `recording-${++files}.csv`);
  writeFileSync(path, text);
  return path;
}

const csvOf = (rows: SampledRows, options: CsvOptions = {}): string => fileOf(engineCsv(rows, options));

/** Expects a good end, and gives the one JSON object that was printed. */
async function json(...args: string[]): Promise<AnalysisJson> {
  const { status, stdout, stderr } = await analyse(...args, '--json');
  expect(stderr).toBe('');
  expect(status).toBe(0);
  return parsedAnalysis(stdout);
}

const plain: EngineSpec = {
  seed: SEED,
  durationS: 6,
  sampleRateHz: 500,
  intakeAnglesDeg: [0, 270],
  rpm: 1000,
  baroKpa: 101.325,
  cycleScatter: 0.008,
  depthScatter: 0.03,
  noiseKpa: 0.1,
  bits: 10,
};

describe.each<[string, Engine]>([
  ['refill', refillEngine],
  ['fourier', fourierEngine],
])(`a recording of the %s engine, seed ${SEED}`, (_, engine) => {
  let recording: EngineRecording;
  let path = '';
  let told: AnalysisJson;
  beforeAll(async () => {
    recording = engine(plain);
    path = csvOf(recording);
    told = await json(path, '--cycles');
  });

  it('tells what it was, and of every null the reason', () => {
    expect(told).toMatchObject({ samples: 3000, sampleRateHz: 500, baroKpa: 101.325, reference: 'mean' });
    expect(told.durationS).toBeCloseTo(5.998, 6);
    expect(told.cylinders.map((one) => [one.name, one.state])).toEqual([
      ['cyl1', 'ok'],
      ['cyl2', 'ok'],
    ]);
    expect(told.gapsKpa.map((one) => one.name)).toEqual(['cyl1', 'cyl2']);
    expect(told.roughness.perCylinder.map((one) => one.name)).toEqual(['cyl1', 'cyl2']);
    expect(withoutReason(told)).toEqual([]);
  });

  it('has the cycles, the speed and the vacuum of the engine that was simulated', () => {
    const { truth } = recording;
    told.cylinders.forEach((one, cylinder) => {
      const rows = one.cycleTable!;
      const off = rows.map((row) => row.meanVacuumKpa! - truth.meanVacuumKpa(cylinder, row.startS, row.endS));
      expect(rootMeanSquare(off)).toBeLessThan(0.05);
      expect(Math.abs(mean(off))).toBeLessThan(0.02);
      expect(rows.length).toBeGreaterThan(truth.cycleStartsS[cylinder]!.length - 4);
      rows.slice(1).forEach((row, index) => {
        expect(row.startS).toBeCloseTo(rows[index]!.endS, 9);
      });
      for (const row of rows) {
        const depth = truth.depthKpa(cylinder, row.startS, row.endS);
        expect(Math.abs(row.pulseDepthKpa! / depth - 1)).toBeLessThan(0.15);
      }
    });
    const [first, last] = [told.cylinders[0]!.cycleTable![0]!, told.cylinders[0]!.cycleTable!.at(-1)!];
    expect(told.engine.idleRpm.mean! / truth.meanRpm(first.startS, last.endS)).toBeCloseTo(1, 3);
    expect(told.engine.cycles).toBeGreaterThan(45);
  });

  it('its figures add up from the cycle table and from each other', () => {
    for (const one of told.cylinders) {
      const means = one.cycleTable!.map((row) => row.meanVacuumKpa!);
      expect(one.cycles).toBe(means.length);
      expect(one.vacuumKpa.mean).toBeCloseTo(mean(means), 9);
      expect(one.vacuumKpa.sd).toBeCloseTo(sampleStandardDeviation(means), 9);
      expect(one.peakVacuumKpa).toBeCloseTo(mean(one.cycleTable!.map((row) => row.peakVacuumKpa!)), 9);
      expect(one.pulseDepthKpa).toBeCloseTo(mean(one.cycleTable!.map((row) => row.pulseDepthKpa!)), 9);
      // Nothing less than independent cycles would make it.
      expect(one.vacuumKpa.standardError!).toBeGreaterThan(
        (0.4 * one.vacuumKpa.sd!) / Math.sqrt(means.length),
      );
    }
    const gaps = told.gapsKpa.map((gap) => gap.value!);
    expect(gaps[0]! + gaps[1]!).toBeCloseTo(0, 9);
    expect(told.spreadKpa.value).toBeCloseTo(Math.abs(gaps[0]! - gaps[1]!), 9);
    expect(told.spreadKpa.expandedUncertainty).toBeCloseTo(2 * told.gapsKpa[0]!.expandedUncertainty!, 9);
  });

  it('is measured by the same core as live: the same figures from the same rows in memory', () => {
    const rounded = recording.kpa.map((column) => column.map((kpa) => Number(kpa.toFixed(3))));
    const timeS = recording.timeS.map((time) => Number(time.toFixed(6)));
    const analysis = analyseRecording(timeS, rounded, setupOf(recording), { keepCycles: true });
    told.cylinders.forEach((one, cylinder) => {
      const { vacuumKpa, cycleTable, missedPulsesS } = analysis.cylinders[cylinder]!;
      expect(one.cycleTable).toEqual(cycleTable);
      expect(one.missedPulsesS).toEqual(missedPulsesS);
      expect(one.vacuumKpa).toEqual({
        mean: vacuumKpa!.mean,
        sd: vacuumKpa!.sd,
        standardError: vacuumKpa!.standardError,
      });
    });
    expect(told.spreadKpa).toEqual(analysis.spreadKpa);
    expect(told.roughness.score).toBe(analysis.roughness.score);
  });
});

describe(`the options, seed ${SEED}`, () => {
  const recording = refillEngine({ ...plain, durationS: 4 });
  let path = '';
  let told: AnalysisJson;
  beforeAll(async () => {
    path = csvOf(recording);
    told = await json(path);
  });

  it('vacuum in the columns with --gauge is the same measurement', async () => {
    const vacuum = { timeS: recording.timeS, kpa: recording.kpa.map((c) => c.map((kpa) => 101.325 - kpa)) };
    const gauge = await json(csvOf(vacuum), '--gauge');
    // Half a unit of the third decimal is rounded the other way.
    expect(figuresApart(gauge, told, { absolute: 1e-3, relative: 1e-2 })).toEqual([]);
    for (const [cylinder, one] of gauge.cylinders.entries())
      expect(one.vacuumKpa.mean).toBeCloseTo(told.cylinders[cylinder]!.vacuumKpa.mean!, 3);
  });

  it('--baro moves the vacuum and nothing else, --strokes 2 halves the speed', async () => {
    const [lower, twoStroke] = await Promise.all([
      json(path, '--baro', '95.325'),
      json(path, '--strokes', '2'),
    ]);
    expect(lower.baroKpa).toBe(95.325);
    lower.cylinders.forEach((one, cylinder) => {
      expect(one.vacuumKpa.mean).toBeCloseTo(told.cylinders[cylinder]!.vacuumKpa.mean! - 6, 9);
      expect(one.peakVacuumKpa).toBeCloseTo(told.cylinders[cylinder]!.peakVacuumKpa! - 6, 9);
      expect(one.pulseDepthKpa).toBeCloseTo(told.cylinders[cylinder]!.pulseDepthKpa!, 9);
    });
    expect(figuresApart(lower.gapsKpa, told.gapsKpa, { absolute: 1e-9 })).toEqual([]);
    expect(figuresApart(lower.engine, told.engine, { absolute: 1e-9 })).toEqual([]);
    expect(twoStroke.engine.idleRpm.mean! / told.engine.idleRpm.mean!).toBeCloseTo(0.5, 3);
  });

  it('--cycles adds a table to every cylinder, and every other figure stays the same', async () => {
    const tabled = await json(path, '--cycles');
    const untabled = tabled.cylinders.map(({ cycleTable, ...rest }) => {
      expect(cycleTable).toHaveLength(rest.cycles);
      return rest;
    });
    expect({ ...tabled, cylinders: untabled }).toEqual(told);
  });

  it('with --from and --to is the recording cut there', async () => {
    const inside = (timeS: number): boolean => timeS >= 1.5 && timeS <= 3.5;
    const rows = Array.from(recording.timeS.keys()).filter((row) => inside(recording.timeS[row]!));
    const cut = {
      timeS: Float64Array.from(rows, (row) => recording.timeS[row]!),
      kpa: recording.kpa.map((column) => Float64Array.from(rows, (row) => column[row]!)),
    };
    const [asked, given] = await Promise.all([json(path, '--from', '1.5', '--to', '3.5'), json(csvOf(cut))]);
    expect(asked).toEqual(given);
    expect(asked.samples).toBe(1001);
    expect(asked.durationS).toBeCloseTo(2, 9);
  });
});

describe(`what is not well is told, seed ${SEED}`, () => {
  it('other separators, decimal commas, line ends and remarks make no difference', async () => {
    const recording = refillEngine({ ...plain, durationS: 3 });
    const [plainly, otherwise] = await Promise.all([
      json(csvOf(recording)),
      json(
        csvOf(recording, {
          separator: ';',
          decimalComma: true,
          lineEnd: '\r\n',
          preamble: ['# logger 3', ''],
        }),
      ),
    ]);
    expect(otherwise).toEqual(plainly);
  });

  it('missed pulses, at their times', async () => {
    const missed = [12, 25, 31, 40].map((cycle) => ({ channel: 1, cycle, strength: 0.1 }));
    const recording = fourierEngine({ ...plain, missed });
    const told = await json(csvOf(recording));
    const [none, some] = told.cylinders.map((one) => one.missedPulsesS!);
    const truths = recording.truth.missedPulsesS[1]!;
    expect(none).toEqual([]);
    expect(some).toHaveLength(truths.length);
    some!.forEach((timeS, index) => {
      expect(Math.abs(timeS - truths[index]!)).toBeLessThan(0.03);
    });
    expect(told.roughness.perCylinder[1]!.lowestNormalisedCycle).toBeLessThan(0.4);
  });

  it('a hose that is off and one that is blocked: state, no gap, and why', async () => {
    const recording = refillEngine({
      ...plain,
      durationS: 4,
      intakeAnglesDeg: [0, 180, 540, 360],
      faults: [
        { channel: 1, fromS: 0, kind: 'off' },
        { channel: 3, fromS: 0, kind: 'blocked' },
      ],
    });
    const told = await json(csvOf(recording));
    expect(told.cylinders.map((one) => one.state)).toEqual(['ok', 'open-to-air', 'ok', 'blocked']);
    expect(told.gapsKpa.map((gap) => gap.value === null)).toEqual([false, true, false, true]);
    expect(told.cylinders[1]!.reason).toMatch(/hose is off/);
    expect(told.cylinders[3]!.reason).toMatch(/blocked or kinked/);
    expect(withoutReason(told)).toEqual([]);
  });

  it('one cylinder alone has no gap and no spread', async () => {
    const told = await json(csvOf(fourierEngine({ ...plain, durationS: 3, intakeAnglesDeg: [0] })));
    expect(told.cylinders[0]!.vacuumKpa.mean).not.toBeNull();
    expect(told.gapsKpa[0]).toMatchObject({ value: null, expandedUncertainty: null });
    expect(told.spreadKpa).toMatchObject({ value: null, reason: expect.stringMatching(/fewer than two/) });
    expect(withoutReason(told)).toEqual([]);
  });

  it('a standing engine ends well, with null in every figure and the reason beside it', async () => {
    const rows = Array.from({ length: 1000 }, (_, row) => `${row / 250},${101.3 + 0.05 * (row % 3)}`);
    const told = await json(fileOf(`time_s,a\n${rows.join('\n')}\n`));
    expect(told.engine).toMatchObject({ cycles: 0, idleRpm: { mean: null, sd: null } });
    expect(told.cylinders[0]).toMatchObject({ cycles: 0, peakVacuumKpa: null, missedPulsesS: null });
    expect(told.roughness).toMatchObject({ score: null, choppinessPercent: null });
    expect(withoutReason(told)).toEqual([]);
  });

  it('the text for a person names every cylinder and the same figures', async () => {
    const path = csvOf(refillEngine({ ...plain, durationS: 3 }));
    const [text, told] = await Promise.all([analyse(path), json(path)]);
    expect(text).toMatchObject({ status: 0, stderr: '' });
    for (const one of told.cylinders) {
      expect(text.stdout).toContain(`${one.name}: ok`);
      expect(text.stdout).toContain(one.vacuumKpa.mean!.toFixed(1));
    }
    expect(text.stdout).toContain(
      `${told.engine.cycles} engine cycles at ${told.engine.idleRpm.mean!.toFixed(0)} r/min`,
    );
    expect(text.stdout).not.toMatch(/NaN|undefined|null/);
  });
});

describe('bad input ends with 2 and one line that names file, line and column', () => {
  it.each<[string, string, number, number, RegExp]>([
    ['a word for a number', 'time_s,a,b\n0,50,60\n0.002,51,sixty\n', 3, 3, /'sixty' is not a number/],
    ['a time that goes back', 'time_s,a\n0,50\n0.004,51\n0.002,52\n', 4, 1, /goes back/],
  ])('%s', async (_, text, line, column, what) => {
    const path = fileOf(text);
    const { status, stdout, stderr } = await analyse(path, '--json');
    expect(status).toBe(2);
    expect(stdout).toBe('');
    expect(stderr).toMatch(/^[^\n]+\n$/);
    expect(stderr).toContain(`${path}, line ${line}, column ${column}: `);
    expect(stderr).toMatch(what);
  });

  it('a file that is not there, and a stretch without a sample', async () => {
    const path = fileOf('time_s,a\n0,50\n0.002,51\n');
    const ends = await Promise.all([
      analyse(join(folder, 'nowhere.csv'), '--json'),
      analyse(path, '--json', '--from', '3'),
    ]);
    for (const { status, stdout, stderr } of ends) {
      expect(status).toBe(2);
      expect(stdout).toBe('');
      expect(stderr).toMatch(/^[^\n]+, line \d+, column \d+: [^\n]+\n$/);
    }
    expect(ends.map((one) => one.stderr)).toEqual([
      expect.stringContaining('no such file'),
      expect.stringContaining('no sample lies between'),
    ]);
  });

  it('options that mean nothing end with 2, one line and no figures', async () => {
    const path = fileOf('time_s,a\n0,50\n');
    const ends = await Promise.all([analyse(path, '--baro', '20'), analyse()]);
    for (const { status, stdout, stderr } of ends) {
      expect(status).toBe(2);
      expect(stdout).toBe('');
      expect(stderr).toMatch(/^[^\n]+\n$/);
    }
  });
});

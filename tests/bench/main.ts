/**
 * `npm run bench`: every promise on accuracy, speed and size with its figure, its bound and a peer in the same run.
 *
 *   npm run bench                      all groups at full size
 *   npm run bench -- --json            one JSON object instead of text
 *   npm run bench -- --only NAME       one group; --list names them
 *   npm run bench -- --scale 0.1       a tenth of the cases
 *   npm run bench -- --seed 7          other cases
 *
 * A figure that misses its bound is printed as MISSED. Figures of time depend on the machine and on what else it does.
 */
import { parseArgs } from 'node:util';
import { instrumentAnalyser } from '../truth/instrument-analyser.ts';
import { rows as accuracyRows } from './accuracy.ts';
import { type AccuracyRow, accuracyRow } from './accuracy-row.ts';
import { rows as adviceRows } from './advice.ts';
import { calibrationRows } from './calibration.ts';
import { rows as conditionRows } from './condition.ts';
import { faultRows } from './faults.ts';
import { fuzzRows } from './fuzz.ts';
import { rows as jobRows } from './jobs.ts';
import { rows as leakRows } from './leak-tests.ts';
import { liveLoadRow } from './live-load.ts';
import { offlineSpeedRows } from './offline-speed.ts';
import { screenRows } from './screen.ts';
import { soakRows } from './soak.ts';

interface Settings {
  readonly seed: number;
  readonly scale: number;
}

const GROUPS: Record<string, (settings: Settings) => AccuracyRow[] | Promise<AccuracyRow[]>> = {
  accuracy: ({ seed, scale }) => accuracyRows(instrumentAnalyser, { seed, scale, onRows: tell }),
  leaks: ({ seed, scale }) => leakRows({ seed, scale, onRows: tell }),
  condition: ({ seed, scale }) => conditionRows({ seed, scale, onRows: tell }),
  advice: ({ seed, scale }) => adviceRows({ seed, scale, onRows: tell }),
  offline: ({ scale }) => offlineSpeedRows(Math.max(1, Math.round(5 * scale))),
  live: async ({ scale }) => [await liveLoadRow(Math.max(3, Math.round(10 * scale)))],
  calibration: ({ seed, scale }) =>
    calibrationRows({ seed, cases: Math.max(50, Math.round(1000 * scale)) }).map(calibrationRow),
  jobs: () => jobRows(),
  faults: faultRows,
  soak: soakRows,
  screen: ({ scale }) => screenRows(Math.max(2, Math.round(6 * scale))),
  fuzz: (settings) => fuzzRows(settings, tell),
};

const { values } = parseArgs({
  options: {
    json: { type: 'boolean', default: false },
    list: { type: 'boolean', default: false },
    only: { type: 'string' },
    scale: { type: 'string', default: '1' },
    seed: { type: 'string', default: '1' },
  },
});
const told = new Set<AccuracyRow>();
await main();

async function main(): Promise<void> {
  if (values.list) {
    process.stdout.write(`${Object.keys(GROUPS).join('\n')}\n`);
    return;
  }
  const settings = { seed: Number(values.seed), scale: Number(values.scale) };
  const all: Record<string, readonly AccuracyRow[]> = {};
  for (const [name, run] of Object.entries(GROUPS)) {
    if (values.only !== undefined && values.only !== name) continue;
    if (!values.json) process.stdout.write(`\n${name}\n`);
    const rows = await run(settings);
    tell(rows);
    all[name] = rows;
  }
  if (values.json)
    process.stdout.write(`${JSON.stringify({ ...settings, node: process.version, groups: all }, null, 2)}\n`);
}

function tell(rows: readonly AccuracyRow[]): void {
  if (values.json) return;
  for (const row of rows) {
    if (told.has(row)) continue;
    told.add(row);
    const { min, median, max } = row.figure;
    process.stdout.write(
      `  ${row.holds ? 'holds ' : 'MISSED'}  ${row.what}: ${shown(row.pooled)} ${row.unit}, bound ${row.bound}\n` +
        `          over ${row.cases} cases min ${shown(min)} / median ${shown(median)} / max ${shown(max)}; worst: ${row.worst}\n` +
        `          ${row.reference}\n`,
    );
  }
}

function shown(value: number): string {
  return Number.isFinite(value) ? String(Number(value.toPrecision(4))) : '–';
}

function calibrationRow(row: ReturnType<typeof calibrationRows>[number]): AccuracyRow {
  return accuracyRow(row.what, row.unit, [{ label: 'all cases', value: row.figure }], {
    pooled: row.figure,
    bound: row.bound,
    holds: row.holds,
    reference: 'simulated sensors with errors as in their data sheet',
  });
}

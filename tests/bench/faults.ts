import { runSchedule, type ScheduleOutcome } from '../faults/fault-schedule.ts';
import { RIGHT_WITHIN_MS } from '../faults/judged-bench.ts';
import { type AccuracyRow, accuracyRow } from './accuracy-row.ts';

export interface FaultSettings {
  readonly seed: number;
  /** 1: two thousand schedules. */
  readonly scale: number;
}

const SCHEDULES = 2_000;
/** Different checksums of 16 bits: of lines altered at random one in so many fits. */
const CHECKSUMS = 65_536;
/** Of a Poisson distribution's mean so many standard deviations are allowed for, and so many lines where it is near 0. */
const CHANCE_SIGMAS = 4;
const CHANCE_LINES = 4;

/** Seeded schedules of faults through the link, the session and the measurement, on an accelerated clock. */
export async function faultRows({ seed, scale }: FaultSettings): Promise<AccuracyRow[]> {
  const runs: ScheduleOutcome[] = [];
  for (let n = 0; n < Math.max(1, Math.round(SCHEDULES * scale)); n++)
    runs.push(await runSchedule(seed * 100_000 + n));
  const broken = runs.filter((run) => run.broken.length > 0);
  const messages = runs.reduce((sum, run) => sum + run.judgedMessages, 0);
  const rows = runs.reduce((sum, run) => sum + run.captureRows, 0);
  const altered = runs.reduce((sum, run) => sum + run.alteredLines, 0);
  const slipped = runs.reduce((sum, run) => sum + run.slippedLines, 0);
  const slippedRows = runs.reduce((sum, run) => sum + run.slippedRows, 0);
  const expected = altered / CHECKSUMS;
  const mostByChance = Math.floor(expected + CHANCE_SIGMAS * Math.sqrt(expected) + CHANCE_LINES);
  const faults = runs.flatMap((run) => run.outcomes);
  const kinds = [...new Set(faults.map(({ fault }) => fault))];
  const slowest = Math.max(...faults.map(({ rightAfterMs }) => rightAfterMs));
  return [
    accuracyRow(
      'schedules of faults in which a wrong figure was shown or the instrument did not come back',
      'schedules',
      runs.map((run) => ({
        label: `seed ${run.seed}${run.broken.length > 0 ? `: ${run.broken[0]}` : ''}`,
        value: run.broken.length,
      })),
      {
        pooled: broken.length,
        bound: 'none',
        holds: broken.length === 0,
        reference:
          `${faults.length} faults of ${kinds.length} kinds; ${messages} messages held against the truth of the engine, ` +
          `${rows} rows of captures against what the board sent; broken: ${broken.map((run) => run.seed).join(' ') || 'none'}`,
      },
    ),
    accuracyRow(
      'lines altered on the cable whose 16-bit checksum fits by chance, which nobody can tell from true ones',
      'lines',
      runs.map((run) => ({ label: `seed ${run.seed}`, value: run.slippedLines })),
      {
        pooled: slipped,
        bound: `<= ${mostByChance}`,
        holds: slipped <= mostByChance,
        reference:
          `${altered} altered lines, so ${expected.toFixed(1)} are to be expected; ` +
          `${slippedRows} rows of captures came from such lines, figures that such a line made wrong count in the row above`,
      },
    ),
    accuracyRow(
      'good data until everything is shown again',
      'ms',
      kinds.map((kind) => ({
        label: kind,
        value: Math.max(
          ...faults.filter(({ fault }) => fault === kind).map(({ rightAfterMs }) => rightAfterMs),
        ),
      })),
      {
        pooled: slowest,
        bound: `<= ${RIGHT_WITHIN_MS}`,
        holds: slowest <= RIGHT_WITHIN_MS,
        reference: 'each case is the slowest of one kind of fault',
      },
    ),
  ];
}

import { FAULTS } from './faults.ts';
import { JudgedBench } from './judged-bench.ts';

export interface FaultOutcome {
  readonly fault: string;
  /** Good samples that the instrument needed to be right again [ms]. */
  readonly rightAfterMs: number;
}

export interface ScheduleOutcome {
  readonly seed: number;
  readonly outcomes: readonly FaultOutcome[];
  readonly judgedMessages: number;
  readonly captureRows: number;
  /** Rows of captures from altered lines whose checksum fits by chance. */
  readonly slippedRows: number;
  /** Lines that the cable altered, and those of them whose checksum fits. */
  readonly alteredLines: number;
  readonly slippedLines: number;
  /** What was promised and not kept, with the moment. */
  readonly broken: readonly string[];
}

const FAULTS_PER_SCHEDULE = 4;
const FIRST_START_MS = 10_000;

/** One seeded run of faults through the whole way from bytes to live messages, on a clock of its own. */
export async function runSchedule(seed: number): Promise<ScheduleOutcome> {
  const bench = new JudgedBench(seed);
  const { random, workshop } = bench;
  const outcomes: FaultOutcome[] = [];
  await bench.untilRight(FIRST_START_MS);
  const capture = random.uniform() < 0.5 ? workshop.session.startCapture('before') : null;
  for (let n = 1; n <= FAULTS_PER_SCHEDULE; n++) {
    const fault = FAULTS[random.index(FAULTS.length)]!;
    bench.doing = `${n}. ${fault.name}`;
    await fault.befall(bench);
    bench.doing = `after ${n}. ${fault.name}`;
    const rightAfterMs = await bench.untilRight(fault.backWithinMs);
    outcomes.push({ fault: fault.name, rightAfterMs });
    await bench.pass(random.between(0, 1_500));
  }
  if (capture?.ok === true) workshop.session.stopCapture(capture.value.id);
  const { rows, slippedRows } = bench.checkCaptures();
  await bench.stop();
  // Timers here are no real ones: without a turn of the event loop what streams leave to the next tick piles up, and holds the bench.
  await new Promise((turn) => setImmediate(turn));
  const { altered } = workshop;
  return {
    seed,
    outcomes,
    judgedMessages: bench.judgedMessages,
    captureRows: rows,
    slippedRows,
    alteredLines: altered.count,
    slippedLines: altered.slipped,
    broken: bench.broken,
  };
}

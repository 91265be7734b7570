import { CsvSamples } from '../../server/analysis/csv-samples.ts';
import { analyseRecording } from '../../server/signal/analyse-recording.ts';
import { defaultEngineSetup } from '../../server/signal/engine-setup.ts';
import { RecordingAnalysis } from '../../server/signal/recording-analysis.ts';
import { engineCsv } from '../engines/engine-csv.ts';
import { refillEngine } from '../engines/refill-engine.ts';
import { type AccuracyRow, accuracyRow } from './accuracy-row.ts';

const HOUR_S = 3600;
const PIECE_S = 600;
const SAMPLE_RATE_HZ = 500;
const CORE_BOUND_S = 2;
const FILE_BOUND_S = 10;

/** Ten minutes of a four, as the pieces of an hour: the engine is the same, the pieces follow each other in time. */
function tenMinutes() {
  return refillEngine({
    seed: 5,
    durationS: PIECE_S,
    sampleRateHz: SAMPLE_RATE_HZ,
    intakeAnglesDeg: [0, 180, 540, 360],
    rpm: 1000,
    cycleScatter: 0.008,
    depthScatter: 0.03,
    noiseKpa: 0.15,
    bits: 10,
  });
}

/** An hour of 4 channels at 500 samples/s through the core alone, and as CSV text through the reader as well. */
export function offlineSpeedRows(runs: number): AccuracyRow[] {
  const { timeS, kpa } = tenMinutes();
  const pieces = HOUR_S / PIECE_S;
  const rows = timeS.length;
  const longTimeS = new Float64Array(rows * pieces);
  const longKpa = kpa.map(() => new Float64Array(rows * pieces));
  for (let piece = 0; piece < pieces; piece++) {
    for (let row = 0; row < rows; row++) {
      longTimeS[piece * rows + row] = piece * PIECE_S + timeS[row]!;
      for (let channel = 0; channel < kpa.length; channel++) {
        longKpa[channel]![piece * rows + row] = kpa[channel]![row]!;
      }
    }
  }
  const setup = defaultEngineSetup(kpa.length);
  const core = timed(runs, () => analyseRecording(longTimeS, longKpa, setup));
  const sum = timed(runs, () => {
    let total = 0;
    for (const column of longKpa) for (const value of column) total += value;
    return total;
  });
  const text = Buffer.from(engineCsv({ timeS: longTimeS, kpa: longKpa }));
  const file = timed(Math.max(1, Math.ceil(runs / 2)), () => {
    let analysis: RecordingAnalysis | null = null;
    const csv = new CsvSamples(
      () => {
        analysis = new RecordingAnalysis(setup);
      },
      (time, values) => analysis!.push(time, values),
    );
    for (let from = 0; from < text.length; from += 1 << 18) csv.push(text.subarray(from, from + (1 << 18)));
    csv.end();
    return analysis!.finish();
  });
  const scan = timed(runs, () => {
    let lines = 0;
    for (const byte of text) if (byte === 10) lines++;
    return lines;
  });
  const row = (what: string, seconds: readonly number[], boundS: number, reference: string): AccuracyRow => {
    const sorted = [...seconds].sort((a, b) => a - b);
    const median = sorted[sorted.length >> 1]!;
    return accuracyRow(
      what,
      'processor s',
      seconds.map((value, run) => ({ label: `run ${run + 1}`, value })),
      { pooled: median, bound: `< ${boundS}`, holds: median < boundS, reference },
    );
  };
  return [
    row(
      'offline analysis, one hour x 4 channels x 500 samples/s, one core',
      core,
      CORE_BOUND_S,
      `adding up the same samples takes ${middle(sum).toFixed(3)} s`,
    ),
    row(
      `the same from ${(text.length / 1e6).toFixed(0)} MB of CSV text`,
      file,
      FILE_BOUND_S,
      `counting its lines byte by byte takes ${middle(scan).toFixed(2)} s`,
    ),
  ];
}

/** Processor seconds of each run, after one that is not counted: what else the machine does counts little. */
function timed(runs: number, work: () => unknown): number[] {
  work();
  return Array.from({ length: runs }, () => {
    const before = process.cpuUsage();
    work();
    const { user, system } = process.cpuUsage(before);
    return (user + system) / 1e6;
  });
}

function middle(values: readonly number[]): number {
  return [...values].sort((a, b) => a - b)[values.length >> 1]!;
}

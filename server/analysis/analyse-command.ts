/** `idlewright analyse FILE.csv`: the measuring core on any logger's recording. */
import { createReadStream } from 'node:fs';
import { type Command, InvalidArgumentError, Option } from 'commander';
import { defaultEngineSetup, STANDARD_ATMOSPHERE_KPA } from '../signal/engine-setup.ts';
import { type Analysis, RecordingAnalysis } from '../signal/recording-analysis.ts';
import { analysisObject, type RecordingFacts } from './analysis-object.ts';
import { analysisText } from './analysis-text.ts';
import { CsvError, CsvSamples } from './csv-samples.ts';

/** Barometric pressures outside of this are no weather [kPa]. */
const LOWEST_BARO_KPA = 50;
const HIGHEST_BARO_KPA = 120;
const EXIT_BAD_INPUT = 2;
const READ_BYTES = 1 << 18;

interface AnalyseOptions {
  readonly json?: boolean;
  readonly cycles?: boolean;
  readonly baro?: number;
  readonly strokes: '4' | '2';
  readonly gauge?: boolean;
  readonly from?: number;
  readonly to?: number;
}

export interface AnalyseOutput {
  readonly write: (text: string) => void;
  readonly writeError: (text: string) => void;
  readonly exit: (status: number) => void;
}

/** Adds the command to a commander program. */
export function registerAnalyse(program: Command, output: AnalyseOutput): void {
  program
    .command('analyse')
    .description('figures of a recording: a CSV with time_s and one column of pressure per cylinder')
    .argument('<file>', 'CSV file, kPa absolute')
    .option('--json', 'print one JSON object')
    .option('--cycles', 'with --json: a table of every cycle of every cylinder')
    .option('--baro <kPa>', `barometric pressure (${STANDARD_ATMOSPHERE_KPA})`, kiloPascal)
    .addOption(new Option('--strokes <number>', 'strokes of the engine').choices(['4', '2']).default('4'))
    .option('--gauge', 'the columns are vacuum in kPa, not absolute pressure')
    .option('--from <s>', 'leave out what is earlier', seconds)
    .option('--to <s>', 'leave out what is later', seconds)
    .action(async (file: string, options: AnalyseOptions) => {
      try {
        const { analysis, facts } = await analyseFile(file, options);
        output.write(
          options.json
            ? `${JSON.stringify(analysisObject(analysis, facts, 'mean'), null, 2)}\n`
            : analysisText(analysis, facts),
        );
      } catch (error) {
        output.writeError(`idlewright: ${sentence(file, error)}\n`);
        output.exit(EXIT_BAD_INPUT);
      }
    });
}

async function analyseFile(
  file: string,
  options: AnalyseOptions,
): Promise<{ analysis: Analysis; facts: RecordingFacts }> {
  const baroKpa = options.baro ?? STANDARD_ATMOSPHERE_KPA;
  const fromS = options.from ?? Number.NEGATIVE_INFINITY;
  const toS = options.to ?? Number.POSITIVE_INFINITY;
  let recording: RecordingAnalysis | null = null;
  let firstS = Number.NaN;
  let lastS = Number.NaN;
  let samples = 0;
  const csv = new CsvSamples(
    (names) => {
      const setup = {
        ...defaultEngineSetup(names.length),
        strokes: options.strokes === '2' ? (2 as const) : (4 as const),
        barometricKpa: baroKpa,
      };
      recording = new RecordingAnalysis(setup, { keepCycles: options.cycles ?? false });
    },
    (timeS, values) => {
      if (timeS < fromS || timeS > toS) return;
      if (options.gauge)
        for (let index = 0; index < values.length; index++) values[index] = baroKpa - values[index]!;
      if (samples === 0) firstS = timeS;
      lastS = timeS;
      samples++;
      recording!.push(timeS, values);
    },
  );
  for await (const chunk of createReadStream(file, { highWaterMark: READ_BYTES }))
    csv.push(chunk as Uint8Array);
  csv.end();
  if (samples === 0) throw new CsvError(2, 1, 'no sample lies between --from and --to');
  const analysed: RecordingAnalysis = recording!;
  const intervalS = analysed.usualIntervalS;
  return {
    analysis: analysed.finish(),
    facts: {
      names: csv.names,
      durationS: lastS - firstS,
      samples,
      sampleRateHz: intervalS > 0 ? Math.round(1e4 / intervalS) / 1e4 : null,
      baroKpa,
      withCycles: options.cycles ?? false,
    },
  };
}

function sentence(file: string, error: unknown): string {
  if (error instanceof CsvError)
    return `${file}, line ${error.line}, column ${error.column}: ${error.message}`;
  const code = (error as NodeJS.ErrnoException).code;
  if (code === 'ENOENT') return `${file}, line 1, column 1: there is no such file`;
  if (code === 'EACCES') return `${file}, line 1, column 1: the file may not be read; check its permissions`;
  if (code === 'EISDIR') return `${file}, line 1, column 1: this is a folder, not a CSV file`;
  return `${file}, line 1, column 1: the file cannot be read (${code ?? 'unknown cause'})`;
}

function kiloPascal(text: string): number {
  const value = Number(text);
  if (!(value >= LOWEST_BARO_KPA && value <= HIGHEST_BARO_KPA)) {
    throw new InvalidArgumentError(
      `A pressure in kPa between ${LOWEST_BARO_KPA} and ${HIGHEST_BARO_KPA} is needed.`,
    );
  }
  return value;
}

function seconds(text: string): number {
  const value = Number(text);
  if (text.trim() === '' || !Number.isFinite(value))
    throw new InvalidArgumentError('A time in seconds is needed.');
  return value;
}

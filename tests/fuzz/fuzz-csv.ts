import { isDeepStrictEqual } from 'node:util';
import { CsvError, CsvSamples } from '../../server/analysis/csv-samples.ts';
import { seededRandom } from '../engines/seeded-random.ts';
import { type FuzzReport, FuzzTally } from './fuzz-report.ts';
import { mutated, pieces } from './mutations.ts';

export const CSV_CORPUS: readonly string[] = [
  'time_s,one,two\n0,60.5,61\n0.002,60.25,nan\n0.004,,61.5\n',
  '\u{feff}"time_s";"one, left";"two"\n0,000;60,5;61\n0,002;60,25;null\n',
  'time_s\tcyl 1\tcyl 2\tcyl 3\r\n0\t1e1\t-2.5e-3\t+3\r\n# a word\r\n\r\n0.5\t10\t11\t12',
  'time_s,a\n0,1\n0,2\n1,3\n',
  'time_s,1,2,3,4,5,6,7,8\n0.1,1,2,3,4,5,6,7,8\n0.2,8,7,6,5,4,3,2,1\n',
  'time,a\n0,1\n',
];

/** Reading answers rows of growing time or one sentence with its place, and the same however the file comes. */
export function fuzzCsv(inputs: number, seed: number): FuzzReport {
  const random = seededRandom(seed, 303);
  const tally = new FuzzTally();
  for (; tally.inputs < inputs; tally.inputs++) {
    const bytes = Buffer.from(mutated(CSV_CORPUS[random.index(CSV_CORPUS.length)]!, CSV_CORPUS, random));
    try {
      const whole = read([bytes]);
      const cut = read(pieces(bytes, random));
      if (!isDeepStrictEqual(whole, cut)) tally.fail('reads otherwise in other pieces', bytes);
      if (whole.wrong !== null && !/^\d+:\d+ \S/.test(whole.wrong)) tally.fail(`says ${whole.wrong}`, bytes);
      if (whole.unordered) tally.fail('time does not grow', bytes);
      if (whole.wrong === null) tally.taken++;
    } catch (error) {
      tally.fail(String(error), bytes);
    }
  }
  return tally;
}

function read(chunks: readonly Uint8Array[]): { rows: string[]; wrong: string | null; unordered: boolean } {
  const rows: string[] = [];
  let lastS = Number.NEGATIVE_INFINITY;
  let unordered = false;
  const samples = new CsvSamples(
    () => {},
    (timeS, values) => {
      if (!(timeS > lastS) || values.length !== samples.names.length) unordered = true;
      lastS = timeS;
      rows.push(`${timeS} ${values.join(' ')}`);
    },
  );
  try {
    for (const chunk of chunks) samples.push(chunk);
    samples.end();
  } catch (error) {
    if (!(error instanceof CsvError)) throw error;
    return { rows, wrong: `${error.line}:${error.column} ${error.message}`, unordered };
  }
  return { rows, wrong: null, unordered };
}

import { fuzzCsv } from './fuzz-csv.ts';
import { fuzzHttp } from './fuzz-http.ts';
import { fuzzImport } from './fuzz-import.ts';
import { fuzzCodec, fuzzSplitter } from './fuzz-lines.ts';
import { fuzzLive } from './fuzz-live.ts';
import type { FuzzReport } from './fuzz-report.ts';
import { fuzzRoutes } from './fuzz-routes.ts';

export interface FuzzTarget {
  readonly name: string;
  /** Of five million in all. */
  readonly inputs: number;
  /** In `npm test`. */
  readonly quickInputs: number;
  readonly run: (inputs: number, seed: number) => FuzzReport | Promise<FuzzReport>;
}

export const FUZZ_TARGETS: readonly FuzzTarget[] = [
  { name: 'lines of a board', inputs: 2_900_000, quickInputs: 3_000, run: fuzzCodec },
  { name: 'streams cut into lines', inputs: 140_000, quickInputs: 300, run: fuzzSplitter },
  { name: 'CSV files', inputs: 1_900_000, quickInputs: 2_000, run: fuzzCsv },
  { name: 'imports', inputs: 10_000, quickInputs: 60, run: fuzzImport },
  { name: 'HTTP requests', inputs: 30_000, quickInputs: 300, run: fuzzHttp },
  { name: 'requests to every route', inputs: 30_000, quickInputs: 400, run: fuzzRoutes },
  { name: 'messages of viewers', inputs: 20_000, quickInputs: 150, run: fuzzLive },
];

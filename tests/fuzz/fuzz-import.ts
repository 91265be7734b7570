import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { Readable } from 'node:stream';
import type { Store } from '../../server/jobs/open-store.ts';
import { exportDocument } from '../../server/jobs/transfer/export-document.ts';
import { importDocument } from '../../server/jobs/transfer/import-document.ts';
import { DocumentProblem } from '../../server/jobs/transfer/read-document.ts';
import { seededRandom } from '../engines/seeded-random.ts';
import { open } from '../server/jobs/capture-fixture.ts';
import { finishedJob } from '../server/jobs/report-fixture.ts';
import { type FuzzReport, FuzzTally } from './fuzz-report.ts';
import { mutated, mutatedJson, pieces } from './mutations.ts';

/** A record is counted again after so many inputs: it costs more than an import. */
const COUNT_EVERY = 50;

/** An import answers what it did or why it did nothing, and the record stays readable. */
export async function fuzzImport(inputs: number, seed: number): Promise<FuzzReport> {
  const random = seededRandom(seed, 304);
  const tally = new FuzzTally();
  const folder = mkdtempSync(join(tmpdir(), 'idlewright-fuzz-'));
  const from = await open(join(folder, 'from'));
  await finishedJob(from);
  const good = await exported(from);
  await from.close();
  const lines = good.split('\n');
  const into = await open(join(folder, 'into'));
  try {
    for (; tally.inputs < inputs; tally.inputs++) {
      const at = random.index(lines.length);
      const changed = [...lines];
      changed[at] = random.uniform() < 0.7 ? otherRecord(lines[at]!) : mutated(lines[at]!, lines, random);
      if (random.uniform() < 0.1) changed.splice(random.index(lines.length), 1);
      const bytes = Buffer.from(changed.join('\n'));
      try {
        await importDocument(into, () => Readable.from(pieces(bytes, random, 4_096)));
        tally.taken++;
      } catch (error) {
        const refused = error instanceof DocumentProblem && error.code.startsWith('import-');
        if (!refused) tally.fail(String(error), bytes);
      }
      if (tally.inputs % COUNT_EVERY === 0) await exported(into);
    }
  } finally {
    await into.close();
    rmSync(folder, { recursive: true, force: true });
  }
  return tally;

  function otherRecord(line: string): string {
    const comma = line.endsWith(',');
    try {
      const value: unknown = JSON.parse(comma ? line.slice(0, -1) : line);
      return JSON.stringify(mutatedJson(value, random)) + (comma ? ',' : '');
    } catch {
      return mutated(line, lines, random);
    }
  }
}

async function exported(store: Store): Promise<string> {
  let text = '';
  const wish = { visitId: null, exportedAtMs: 5, softwareVersion: '0.1.0' };
  for await (const piece of exportDocument(store.openMoment, wish)) text += piece;
  return text;
}

import { decodeSampleChunk } from './sample-chunk-codec.ts';
import type { SqliteDatabase } from './sqlite-database.ts';

const CHUNKS_PER_READ = 256;

/** The first thing that is wrong with the file's structure, or null. Reads every page. */
export function integrityDamage(database: SqliteDatabase): string | null {
  const answer = database.prepare('PRAGMA quick_check(1)').get();
  const text = String(Object.values(answer ?? {})[0]);
  return text === 'ok' ? null : text;
}

/** References that lead nowhere, as sentences. */
export function brokenReferences(database: SqliteDatabase): string[] {
  return database
    .prepare('PRAGMA foreign_key_check')
    .all()
    .map((row) => `a row of ${String(row.table)} refers to a row of ${String(row.parent)} that is gone`);
}

/** How many chunks of raw samples there are, and how many cannot be read. Gives way to other work as it goes. */
export async function sampleChunkDamage(
  database: SqliteDatabase,
): Promise<{ readonly chunks: number; readonly damaged: number }> {
  const read = database.prepare(
    'SELECT capture_no, chunk_no, bytes FROM capture_chunks WHERE (capture_no, chunk_no) > (?, ?) ORDER BY capture_no, chunk_no LIMIT ?',
  );
  let chunks = 0;
  let damaged = 0;
  let after: readonly [unknown, unknown] = [-1, -1];
  for (;;) {
    const rows = read.all(...after, CHUNKS_PER_READ);
    for (const row of rows) {
      chunks++;
      if (!decodeSampleChunk(row.bytes as Uint8Array).ok) damaged++;
    }
    const last = rows.at(-1);
    if (last === undefined) return { chunks, damaged };
    after = [last.capture_no, last.chunk_no];
    await new Promise(setImmediate);
  }
}

import { createReadStream, createWriteStream } from 'node:fs';
import { mkdir, rm } from 'node:fs/promises';
import { join } from 'node:path';
import type { Readable } from 'node:stream';
import { pipeline } from 'node:stream/promises';
import type { ImportReport } from '../../contract/jobs-views.ts';
import type { Store } from '../open-store.ts';
import { importDocument } from './import-document.ts';
import { INCOMING_FOLDER } from './incoming-folder.ts';
import { DocumentProblem } from './read-document.ts';

export const MAX_IMPORT_BYTES = 4 * 1024 ** 3;

/**
 * Takes in a document that comes over the network: first all of it to a file, for it is read twice.
 * @throws DocumentProblem before anything was written to the record
 */
export async function spoolImport(store: Store, id: string, body: Readable): Promise<ImportReport> {
  const folder = join(store.dataDir, INCOMING_FOLDER);
  const path = join(folder, `${id}.json`);
  await mkdir(folder, { recursive: true, mode: 0o700 });
  try {
    await pipeline(body, limited, createWriteStream(path, { mode: 0o600 }));
    return await importDocument(store, () => createReadStream(path));
  } finally {
    await rm(path, { force: true });
  }
}

async function* limited(pieces: AsyncIterable<Buffer>): AsyncGenerator<Buffer> {
  let bytes = 0;
  for await (const piece of pieces) {
    bytes += piece.length;
    if (bytes > MAX_IMPORT_BYTES) throw new DocumentProblem('import-unreadable', 'the file is too large');
    yield piece;
  }
}

import type { ImportReport } from '../../contract/jobs-views.ts';
import type { Store } from '../open-store.ts';
import { ImportChecks } from './import-checks.ts';
import { ImportWriter } from './import-writer.ts';
import { readDocument } from './read-document.ts';

type OpenDocument = () => AsyncIterable<Buffer>;

/**
 * Takes a document in. It is read twice: first all of it is checked, then it is written. What is there already is
 * left as it is, so that an import which was cut off is finished by doing it again.
 * @throws DocumentProblem before anything was written
 */
export async function importDocument(store: Store, open: OpenDocument): Promise<ImportReport> {
  const checks = new ImportChecks(store);
  for await (const record of readDocument(open())) await checks.check(record);
  const writer = new ImportWriter(store);
  for await (const record of readDocument(open())) await writer.take(record);
  await writer.finish();
  return writer.report;
}

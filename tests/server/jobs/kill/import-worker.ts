/** Child of the kill test: takes in the documents given, telling of each that is in. */
import { createReadStream } from 'node:fs';
import { importDocument } from '../../../../server/jobs/transfer/import-document.ts';
import { open } from '../capture-fixture.ts';
import { say } from './say.ts';

const [folder, , ...documents] = process.argv.slice(2);
const store = await open(folder!);
say({ ready: true });
for (const path of documents) {
  await importDocument(store, () => createReadStream(path));
  say({ imported: path });
}
setInterval(() => {}, 1000);

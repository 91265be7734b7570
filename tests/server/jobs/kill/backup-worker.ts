/** Child of the kill test: makes one backup after the other while it goes on writing, telling of each that is made. */
import { makeBackup } from '../../../../server/jobs/backup/make-backup.ts';
import { DATABASE_FILE } from '../../../../server/jobs/open-store.ts';
import { open } from '../capture-fixture.ts';
import { ownerFields } from '../job-fixture.ts';
import { say } from './say.ts';

const [dataDir, , folder] = process.argv.slice(2);
const { records } = await open(dataDir!);
say({ ready: true });
for (let count = 0; ; count++) {
  const owner = await records.owners.create(ownerFields);
  say({ table: 'owners', id: owner.id, revision: 1 });
  const made = await makeBackup({
    dataDir: dataDir!,
    databaseFile: DATABASE_FILE,
    folder: folder!,
    atMs: Date.now() + count,
    softwareVersion: '0.1.0',
  });
  if (made.ok) say({ backup: made.backup.path, holds: owner.id });
}

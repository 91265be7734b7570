/** Child of the kill test: opens old data with the steps of a newer program, some of them slow. */
import { openStore } from '../../../../server/jobs/open-store.ts';
import { newerMigrations } from './newer-migrations.ts';
import { say } from './say.ts';

say({ ready: true });
const opened = await openStore(process.argv[2]!, { migrations: newerMigrations });
say(opened.ok ? { migrated: true } : opened);
setInterval(() => {}, 1000);

/** Child of tests: opens the folder given and says what came of it. */
import { openStore } from '../../../server/jobs/open-store.ts';

const opened = await openStore(process.argv[2]!);
console.log(JSON.stringify(opened.ok ? { ok: true } : opened));
if (opened.ok) opened.store.close();

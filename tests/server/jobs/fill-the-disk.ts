/** Child of tests: captures into the folder given until a write fails, and says how far it came. */
import { openStore } from '../../../server/jobs/open-store.ts';
import { sqliteTrouble } from '../../../server/jobs/sqlite-database.ts';
import { header } from './capture-fixture.ts';
import { cutIntoChunks, manifoldSignal } from './manifold-signal.ts';

const opened = await openStore(process.argv[2]!);
if (!opened.ok) {
  console.log(JSON.stringify(opened));
} else {
  const { captures } = opened.store;
  const id = captures.begin(header);
  const signal = { seed: 3, seconds: 100, channels: 8, sampleRateHz: 500, noiseKpa: 0.3 };
  const chunks = cutIntoChunks(manifoldSignal({ ...signal, clockRateHz: 1e6, timeJitterTicks: 4 }), 250);
  let appended = 0;
  let trouble: string | null = null;
  while (trouble === null && appended < 20_000) {
    try {
      captures.append(id, chunks[appended % chunks.length]!);
      appended++;
    } catch (error) {
      trouble = sqliteTrouble(error);
    }
  }
  console.log(JSON.stringify({ ok: true, id, appended, trouble }));
}

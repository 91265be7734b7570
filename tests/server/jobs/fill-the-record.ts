/** Child of tests: writes jobs, photos, an import and a backup into the folder given until no file can grow any more. */
import { mkdirSync } from 'node:fs';
import { join } from 'node:path';
import { open } from './capture-fixture.ts';
import { jobApp } from './job-app.ts';
import { entries, machineFields, made, visitFields } from './job-fixture.ts';

const folder = process.argv[2]!;
const store = await open(join(folder, 'data'));
const app = await jobApp(store);
const { records } = store;
const machine = made(await records.machines.create(machineFields));
const start = { machineId: machine.id, day: '2024-05-31', complaint: '', odometer: null, technician: '' };
const visit = made(await records.visits.create(start));
mkdirSync(join(folder, 'backups'));
const { revision, ...shop } = await records.shop.get();
const backup = { folder: join(folder, 'backups'), everyHours: 24, keep: 2 };
made(await records.shop.change(revision, { ...shop, backup }));

async function send(
  method: 'POST' | 'PUT',
  url: string,
  payload: object | Buffer | string,
  type = 'application/json',
) {
  const answer = await app.inject({ method, url, payload, headers: { 'content-type': type } });
  return { status: answer.statusCode, body: answer.json() };
}
const outcome = ({ status, body }: { status: number; body: { code?: string } }) => [status, body.code];

const jpeg = Buffer.concat([Buffer.from([0xff, 0xd8, 0xff, 0xe0]), Buffer.alloc(4_000_000)]);
const photo = outcome(await send('POST', '/api/photos', jpeg, 'image/jpeg'));
const imported = outcome(await send('POST', '/api/records/import', 'x'.repeat(4_000_000)));
const written: string[] = [];
let entry: unknown[] = [];
for (let count = 0; count < 2000 && entry.length === 0; count++) {
  const payload = { ...entries.note, body: { kind: 'note', text: `${count} `.repeat(1500) } };
  const answer = await send('POST', `/api/visits/${visit.id}/entries`, payload);
  if (answer.status === 201) written.push(answer.body.id);
  else entry = outcome(answer);
}
const again = await send('PUT', `/api/visits/${visit.id}`, { revision: 1, fields: visitFields(visit) });
const backedUp = outcome(await send('POST', '/api/records/backups', {}));
console.log(
  JSON.stringify({
    photo,
    import: imported,
    entry,
    backup: backedUp,
    entries: written,
    visitId: visit.id,
    later: again.status,
  }),
);

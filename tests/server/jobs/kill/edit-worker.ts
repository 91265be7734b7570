/** Child of the kill test: writes and changes the job record as fast as it can, telling of each change that was made. */
import { open } from '../capture-fixture.ts';
import { entries, machineFields, made, ownerFields, visitFields } from '../job-fixture.ts';
import { mulberry } from '../manifold-signal.ts';
import { say } from './say.ts';

const { records } = await open(process.argv[2]!);
const random = mulberry(Number(process.argv[3]));
say({ ready: true });
for (;;) {
  const owner = await records.owners.create({ ...ownerFields, notes: `note ${random()}` });
  say({ table: 'owners', id: owner.id, revision: 1 });
  const machine = made(await records.machines.create({ ...machineFields, ownerId: owner.id }));
  say({ table: 'machines', id: machine.id, revision: 1 });
  const start = { machineId: machine.id, day: '2024-05-31', complaint: 'c', odometer: null, technician: '' };
  let visit = made(await records.visits.create(start));
  say({ table: 'visits', id: visit.id, revision: 1 });
  for (let round = 0; round < 5; round++) {
    const entry = made(await records.entries.create(visit.id, entries.part));
    say({ table: 'entries', id: entry.id, revision: 1 });
    visit = made(
      await records.visits.change(visit.id, visit.revision, { ...visitFields(visit), notes: `${random()}` }),
    );
    say({ table: 'visits', id: visit.id, revision: visit.revision });
    // Gives way to nothing else: a kill may come at any instruction.
    await new Promise(setImmediate);
  }
}

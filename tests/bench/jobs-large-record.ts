import type { Machine, Owner, Visit } from '../../server/contract/jobs.ts';
import type { Entry, EntryBody } from '../../server/contract/jobs-entries.ts';
import { VISIT_STATES } from '../../server/contract/visit-states.ts';
import type { Store } from '../../server/jobs/open-store.ts';
import { entryToRow, machineToRow, ownerToRow, visitToRow } from '../../server/jobs/record-rows.ts';
import { indexStep } from '../../server/jobs/search-index.ts';
import { machineWords, ownerWords, visitWords } from '../../server/jobs/search-words.ts';
import { DEFAULT_SHOP } from '../../server/jobs/shop-records.ts';
import { type WriteStep, writeTogether } from '../../server/jobs/write-together.ts';
import { header } from '../server/jobs/capture-fixture.ts';
import { machineFields } from '../server/jobs/job-fixture.ts';
import { mulberry } from '../server/jobs/manifold-signal.ts';

const WORDS =
  'carburettor idle choke stumbles valve clearance boot clamp hose leak diaphragm slide needle jet float plug coil chain tyre brake fork seal bearing cable throttle sync filter tank petcock gasket head cover cam tension oil coolant fan relay battery charging stator wiring'.split(
    ' ',
  );
const NAMES =
  'Arden Birch Cole Dale Elm Ford Glen Hart Ives Judd Kerr Lane Moss Nash Oake Pell Reed Shaw Thorn Vale'.split(
    ' ',
  );
const JOBS_PER_WRITE = 250;

export interface LargeRecord {
  readonly jobs: number;
  readonly captures: number;
}

/** Fills a store with made owners, machines, jobs of 16 lines each, and captures without samples. */
export function fillRecord(store: Store, { jobs, captures }: LargeRecord, seed: number): void {
  const random = mulberry(seed);
  const pick = <T>(from: readonly T[]): T => from[Math.floor(random() * from.length)]!;
  const words = (count: number) => Array.from({ length: count }, () => pick(WORDS)).join(' ');
  const { db } = store.records.parts;
  const stamp = (at: number) => ({ revision: 1, createdAtMs: at, updatedAtMs: at });
  const owners = Array.from({ length: Math.ceil(jobs / 4) }, (_, index): Owner => {
    const name = `${pick(NAMES)} ${pick(NAMES)} ${index}`;
    return {
      id: `owner-${index}`,
      ...stamp(index),
      name,
      phone: `555 ${index}`,
      email: '',
      address: '',
      notes: '',
    };
  });
  const machines = Array.from({ length: Math.ceil(jobs / 3) }, (_, index): Machine => {
    const frameNumber = `IW${100_000 + index}`;
    const { id: ownerId } = pick(owners);
    return { id: `machine-${index}`, ...stamp(index), ...machineFields, ownerId, frameNumber };
  });
  const ownersById = new Map(owners.map((owner) => [owner.id, owner]));
  writeTogether(store.database, [
    ...owners.flatMap((owner): WriteStep[] => [
      { query: db.insertInto('owners').values(ownerToRow(owner)) },
      indexStep(db, 'owner', owner.id, ownerWords(owner)),
    ]),
    ...machines.flatMap((machine): WriteStep[] => [
      { query: db.insertInto('machines').values(machineToRow(machine)) },
      indexStep(db, 'machine', machine.id, machineWords(machine, ownersById.get(machine.ownerId!)!)),
    ]),
  ]);
  for (let first = 0; first < jobs; first += JOBS_PER_WRITE) {
    const steps: WriteStep[] = [];
    for (let index = first; index < Math.min(jobs, first + JOBS_PER_WRITE); index++) {
      const machine = pick(machines);
      const day = new Date(Date.UTC(2015, 0, 1) + Math.floor(random() * 3600) * 86_400_000)
        .toISOString()
        .slice(0, 10);
      const visit: Visit = {
        id: `visit-${index}`,
        ...stamp(index),
        machineId: machine.id,
        ownerId: machine.ownerId,
        practice: false,
        state: pick(VISIT_STATES),
        day,
        complaint: words(8),
        odometer: { value: String(Math.floor(random() * 90_000)), unit: 'km' },
        technician: pick(NAMES),
        roadTest: words(6),
        handOver: words(4),
        handedOverOn: day,
        nextDue: { day: null, odometer: null, what: '' },
        notes: '',
        pricing: DEFAULT_SHOP.pricing,
      };
      const price = { quantity: '1', unitPriceMinor: Math.floor(random() * 9000), taxPercent: '19' };
      const bodies: EntryBody[] = [
        ...DEFAULT_SHOP.checklist.map(
          (name): EntryBody => ({ kind: 'check', name, result: 'good', note: '' }),
        ),
        { kind: 'finding', text: words(10), weight: 'note', photoIds: [] },
        { kind: 'labour', text: words(4), ...price },
        ...[0, 1, 2, 3].map(
          (part): EntryBody => ({
            kind: 'part',
            name: words(2),
            number: `P${index}-${part}`,
            supplier: pick(NAMES),
            ...price,
            state: 'fitted',
            note: '',
          }),
        ),
      ];
      const entries = bodies.map(
        (body, line): Entry => ({
          id: `entry-${index}-${line}`,
          visitId: visit.id,
          ...stamp(index),
          position: line,
          body,
        }),
      );
      steps.push({ query: db.insertInto('visits').values(visitToRow(visit)) });
      for (const entry of entries) steps.push({ query: db.insertInto('entries').values(entryToRow(entry)) });
      const owner = ownersById.get(machine.ownerId!)!;
      steps.push(indexStep(db, 'visit', visit.id, visitWords(visit, machine, owner, entries)));
    }
    writeTogether(store.database, steps);
  }
  store.database.transaction(() => {
    for (let index = 0; index < captures; index++) {
      const id = store.captures.begin({
        ...header,
        label: index % 2 === 0 ? 'before' : 'after',
        startedAtMs: index * 1000,
        visitId: `visit-${Math.floor(random() * jobs)}`,
      });
      store.captures.interrupt(id, {
        spreadKpa: random() * 5,
        spreadExpandedKpa: 0.2,
        gapsKpa: [0, random()],
        idleRpm: 1000 + random() * 200,
        roughnessScore: random() * 50,
      });
    }
  });
}

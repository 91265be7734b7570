import type { CheckResult } from '../../../server/contract/checks.ts';
import type { EntryBody } from '../../../server/contract/jobs-entries.ts';
import type { Store } from '../../../server/jobs/open-store.ts';
import { makeReport } from '../../../server/jobs/report/make-report.ts';
import { visitComparison } from '../../../server/jobs/visit-comparison.ts';
import { header } from './capture-fixture.ts';
import { entries, machineFields, made, ownerFields, visitFields } from './job-fixture.ts';

export interface ReportFixture {
  readonly store: Store;
  readonly visitId: string;
}

/** A finished job on an invented four: boots renewed, valves set, balanced from 6.2 to 0.6 kPa. */
export async function finishedJob(store: Store): Promise<ReportFixture> {
  const { records, captures } = store;
  const { revision, ...shop } = await records.shop.get();
  const named = {
    name: 'Ford Lane Motorcycle Repairs',
    address: 'Ford Lane 12\nUpper Ford',
    locale: 'en-GB',
  };
  made(await records.shop.change(revision, { ...shop, ...named, reportFooter: 'Six months on all work.' }));
  const owner = await records.owners.create(ownerFields);
  const machine = made(
    await records.machines.create({ ...machineFields, ownerId: owner.id, cylinders: 4, plate: 'UF 123' }),
  );
  const visit = made(
    await records.visits.create({
      machineId: machine.id,
      day: '2024-05-31',
      complaint: 'Stumbles off the choke, idle hangs when warm.',
      odometer: { value: '41234', unit: 'km' },
      technician: 'R',
    }),
  );
  made(
    await records.visits.change(visit.id, 1, {
      ...visitFields(visit),
      state: 'handed-over',
      handedOverOn: '2024-06-02',
      roadTest: '12 km, pulls cleanly from 1500 r/min.',
      nextDue: { day: '2025-05-31', odometer: { value: '47000', unit: 'km' }, what: 'valve clearances' },
    }),
  );
  for (const entry of Object.values(entries)) made(await records.entries.create(visit.id, entry));
  for (const cylinder of [1, 2, 3, 4]) {
    for (const side of ['intake', 'exhaust'] as const) {
      const reading: EntryBody & { kind: 'clearance' } = {
        kind: 'clearance',
        cylinder,
        side,
        valve: 1,
        when: 'left',
        reading:
          side === 'intake'
            ? { how: 'feeler', goes: '0.13', stops: '0.15', unit: 'mm' }
            : { how: 'measured', value: '8', unit: 'thou' },
        note: '',
      };
      made(await records.entries.create(visit.id, { position: 300 + cylinder, body: reading }));
    }
  }
  const capture = (label: 'before' | 'after', vacuums: readonly number[], atMs: number) => {
    const id = captures.begin({ ...header, label, visitId: visit.id, startedAtMs: atMs });
    captures.append(id, {
      timeTicks: [0, 45_000_000],
      counts: [
        [1, 2],
        [3, 4],
      ],
    });
    captures.complete(id, {
      spreadKpa: Math.max(...vacuums) - Math.min(...vacuums),
      spreadExpandedKpa: 0.31,
      gapsKpa: [],
      idleRpm: label === 'before' ? 1240 : 1105,
      roughnessScore: label === 'before' ? 46 : 18,
      cylinders: vacuums.map((vacuumKpa) => ({
        vacuumKpa,
        vacuumExpandedKpa: 0.2,
        vacuumSdKpa: 0.5,
        vacuumStandardErrorKpa: 0.05,
        cycles: 300,
      })),
    });
  };
  capture('before', [28.4, 32.1, 25.9, 29.7], 1_717_150_000_000);
  capture('after', [30.2, 30.5, 29.9, 30.3], 1_717_157_200_000);
  return { store, visitId: visit.id };
}

/** The spot test that found the boot, and the idle before and after: what a usual job has. */
export function addChecks({ store, visitId }: ReportFixture): void {
  const common: Omit<CheckResult, 'id' | 'kind' | 'verdict' | 'summary' | 'madeAtMs' | 'rows'> = {
    practice: false,
    visitId,
    softwareVersion: '0.1.0',
    cylinders: 4,
    whatToDo: '',
    hints: [],
    picture: null,
    blipShares: null,
  };
  const idle = (score: number, rpm: number): CheckResult['rows'] => [
    {
      name: 'Engine, rough idle',
      verdict: score > 40 ? 'found' : 'not-found',
      strength: null,
      whatToDo: '',
      figures: [
        { name: 'roughness score', value: score, expanded: null, unit: '' },
        { name: 'idle speed', value: rpm, expanded: 12, unit: 'r/min' },
      ],
    },
    ...[0.4, 6, 0, 0.2].map((missed, cylinder) => ({
      name: `Cylinder ${cylinder + 1}, missed pulses`,
      verdict: missed > 2 ? ('found' as const) : ('not-found' as const),
      strength: null,
      whatToDo: '',
      figures: [{ name: 'missed or weak pulses a minute', value: missed, expanded: null, unit: '' }],
    })),
  ];
  const spot = (name: string, speed: number, expanded: number, verdict: CheckResult['verdict']) => ({
    name,
    verdict,
    strength: null,
    whatToDo: '',
    figures: [
      { name: 'idle speed', value: speed, expanded, unit: '%' },
      { name: 'vacuum 1', value: 0.01, expanded: 0.06, unit: 'kPa' },
    ],
  });
  const results: Omit<CheckResult, 'id'>[] = [
    {
      ...common,
      kind: 'idle-quality',
      madeAtMs: 1_717_150_100_000,
      verdict: 'found',
      summary: 'Roughness 46 of 100 by our own score: a rough idle.',
      rows: idle(46, 1240),
    },
    {
      ...common,
      kind: 'spot',
      madeAtMs: 1_717_151_000_000,
      verdict: 'found',
      summary: 'Air leaks in at boot 3.',
      rows: [
        spot('boot 1', 0.2, 0.9, 'not-found'),
        spot('boot 2', -0.003, 0.8, 'not-found'),
        spot('boot 3', 5.43, 0.9, 'found'),
        spot('boot 4', -0.4, 0.9, 'not-found'),
      ],
    },
    {
      ...common,
      kind: 'hold',
      madeAtMs: 1_717_152_000_000,
      verdict: 'not-found',
      summary: 'The part holds.',
      rows: [
        {
          name: 'On hose 1, at most 3 kPa lost in 60 s',
          verdict: 'not-found',
          strength: null,
          whatToDo: '',
          figures: [
            { name: 'lost in 60 s', value: 0.35, expanded: 0.2, unit: 'kPa' },
            { name: 'air drawn in', value: 0.0042, expanded: 0.0024, unit: 'ml/s' },
          ],
        },
      ],
    },
  ];
  for (const result of results) store.checkResults.append(result);
}

export async function reportPage(
  { store, visitId }: ReportFixture,
  paper: 'A4' | 'letter' = 'A4',
): Promise<string> {
  const page = await makeReport(store.records, {
    visitId,
    comparison: await visitComparison(store.captures, visitId),
    checkResults: store.checkResults.list({ visitId }),
    paper,
    printedAtMs: 1_717_330_000_000,
    softwareVersion: '0.1.0',
  });
  if (page === null) throw new Error('there is no such job');
  return page;
}

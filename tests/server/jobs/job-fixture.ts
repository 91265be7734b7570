import type { MachineFields, OwnerFields, VisitFields } from '../../../server/contract/jobs.ts';
import type { EntryFields } from '../../../server/contract/jobs-entries.ts';
import type { Changed } from '../../../server/jobs/change-outcome.ts';

/** An invented owner, machine and job. */
export const ownerFields: OwnerFields = {
  name: 'Wilma Ásbjörn',
  phone: '+00 555 0100',
  email: 'wilma@example.org',
  address: 'Mill Lane 4\nUpper Ford',
  notes: '',
};

export const machineFields: MachineFields = {
  ownerId: null,
  make: 'Invented Works',
  model: 'Twin 650',
  year: 1983,
  frameNumber: 'IW650-001234',
  plate: null,
  cylinders: 2,
  layout: 'parallel twin',
  firing: '360-360',
  throttleLinkage: 'one balance screw, cylinder 2 is the reference',
  service: {
    idleSpeed: { value: '1100', band: '50', unit: 'r/min', source: 'workshop manual, p. 31' },
    vacuumDifference: { value: '2.70', unit: 'kPa', source: 'workshop manual, p. 32' },
    // Common practice on a liquid-cooled twin, no source.
    intakeClearance: { low: '0.13', high: '0.18', unit: 'mm', source: 'workshop manual, p. 40' },
    exhaustClearance: { low: '7', high: '9', unit: 'thou', source: 'workshop manual, p. 40' },
    sparkPlug: { type: 'X24', gap: null, source: '' },
    referenceCylinder: { cylinder: 2, source: 'workshop manual, p. 32' },
    others: [{ name: 'float level', value: '18,50', unit: 'mm', source: 'workshop manual, p. 60' }],
  },
  notes: '',
  practice: false,
};

export const entries = {
  part: {
    position: 200,
    body: {
      kind: 'part',
      name: 'Intake boot',
      number: '16211-AB4',
      supplier: 'Parts barn',
      quantity: '2',
      unitPriceMinor: 1895,
      taxPercent: '19',
      state: 'fitted',
      note: '',
    },
  },
  quoted: {
    position: 210,
    body: {
      kind: 'part',
      name: 'Slide diaphragm',
      number: 'D-77',
      supplier: 'Parts barn',
      quantity: '1',
      unitPriceMinor: 6400,
      taxPercent: '19',
      state: 'declined',
      note: 'owner will wait',
    },
  },
  labour: {
    position: 220,
    body: {
      kind: 'labour',
      text: 'Balance the carburettors',
      quantity: '1,5',
      unitPriceMinor: 6500,
      taxPercent: '19',
    },
  },
  intake: {
    position: 230,
    body: {
      kind: 'clearance',
      cylinder: 1,
      side: 'intake',
      valve: 1,
      when: 'found',
      reading: { how: 'feeler', goes: '0.10', stops: '0.13', unit: 'mm' },
      note: '',
    },
  },
  note: { position: 240, body: { kind: 'note', text: 'choke cable stiff' } },
} satisfies Record<string, EntryFields>;

/** The value of a change that had to succeed. */
export function made<T>(changed: Changed<T>): T {
  if (!changed.ok) throw new Error(JSON.stringify(changed));
  return changed.value;
}

export function visitFields(visit: VisitFields & Record<string, unknown>): VisitFields {
  const { id, revision, createdAtMs, updatedAtMs, ownerId, practice, ...fields } = visit;
  return fields;
}

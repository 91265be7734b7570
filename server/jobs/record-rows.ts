/** Between the rows of the database and the entries of the contract. */
import type { Machine, Owner, Visit } from '../contract/jobs.ts';
import type { Entry } from '../contract/jobs-entries.ts';
import type { EntryRow, MachineTableRow, OwnerRow, VisitTableRow } from './tables.ts';

export function ownerFromRow(row: OwnerRow): Owner {
  const { name, phone, email, address, notes } = row;
  return { ...stored(row), name, phone, email, address, notes };
}

export function ownerToRow(owner: Owner): OwnerRow {
  const { name, phone, email, address, notes } = owner;
  return { ...storedRow(owner), name, phone, email, address, notes };
}

export function machineFromRow(row: MachineTableRow): Machine {
  const { make, model, year, plate, cylinders, layout, firing, notes } = row;
  return {
    ...stored(row),
    ownerId: row.owner_id,
    make,
    model,
    year,
    frameNumber: row.frame_number,
    plate,
    cylinders,
    layout,
    firing,
    throttleLinkage: row.throttle_linkage,
    service: JSON.parse(row.service_json) as Machine['service'],
    notes,
    practice: row.practice === 1,
  };
}

export function machineToRow(machine: Machine): MachineTableRow {
  const { make, model, year, plate, cylinders, layout, firing, notes } = machine;
  return {
    ...storedRow(machine),
    owner_id: machine.ownerId,
    make,
    model,
    year,
    frame_number: machine.frameNumber,
    plate,
    cylinders,
    layout,
    firing,
    throttle_linkage: machine.throttleLinkage,
    service_json: JSON.stringify(machine.service),
    notes,
    practice: machine.practice ? 1 : 0,
  };
}

export function visitFromRow(row: VisitTableRow): Visit {
  const { day, complaint, technician, notes } = row;
  return {
    ...stored(row),
    machineId: row.machine_id,
    ownerId: row.owner_id,
    practice: row.practice === 1,
    state: row.state as Visit['state'],
    day,
    complaint,
    odometer: row.odometer_json === null ? null : (JSON.parse(row.odometer_json) as Visit['odometer']),
    technician,
    roadTest: row.road_test,
    handOver: row.hand_over,
    handedOverOn: row.handed_over_on,
    nextDue: JSON.parse(row.next_due_json) as Visit['nextDue'],
    notes,
    pricing: JSON.parse(row.pricing_json) as Visit['pricing'],
  };
}

export function visitToRow(visit: Visit): VisitTableRow {
  const { state, day, complaint, technician, notes } = visit;
  return {
    ...storedRow(visit),
    machine_id: visit.machineId,
    owner_id: visit.ownerId,
    practice: visit.practice ? 1 : 0,
    state,
    day,
    complaint,
    odometer_json: visit.odometer === null ? null : JSON.stringify(visit.odometer),
    technician,
    road_test: visit.roadTest,
    hand_over: visit.handOver,
    handed_over_on: visit.handedOverOn,
    next_due_day: visit.nextDue.day,
    next_due_json: JSON.stringify(visit.nextDue),
    notes,
    pricing_json: JSON.stringify(visit.pricing),
  };
}

export function entryFromRow(row: EntryRow): Entry {
  return {
    ...stored(row),
    visitId: row.visit_id,
    position: row.position,
    body: JSON.parse(row.body_json) as Entry['body'],
  };
}

export function entryToRow(entry: Entry): EntryRow {
  return {
    ...storedRow(entry),
    visit_id: entry.visitId,
    position: entry.position,
    kind: entry.body.kind,
    body_json: JSON.stringify(entry.body),
  };
}

interface Stored {
  id: string;
  revision: number;
  createdAtMs: number;
  updatedAtMs: number;
}

interface StoredRow {
  id: string;
  revision: number;
  created_at_ms: number;
  updated_at_ms: number;
}

const stored = (row: StoredRow): Stored => ({
  id: row.id,
  revision: row.revision,
  createdAtMs: row.created_at_ms,
  updatedAtMs: row.updated_at_ms,
});

const storedRow = (entry: Stored): StoredRow => ({
  id: entry.id,
  revision: entry.revision,
  created_at_ms: entry.createdAtMs,
  updated_at_ms: entry.updatedAtMs,
});

/** The words by which an entry of the job record is found. Pure. */
import type { Machine, Owner, Visit } from '../contract/jobs.ts';
import type { Entry } from '../contract/jobs-entries.ts';
import { VISIT_STATE_WORDS } from '../contract/visit-states.ts';

export function ownerWords(owner: Owner): string {
  return joined([owner.name, owner.phone, owner.email, owner.address, owner.notes]);
}

export function machineWords(machine: Machine, owner: Owner | null): string {
  const { service } = machine;
  return joined([
    machineTitle(machine),
    machine.plate ?? '',
    machine.frameNumber,
    machine.layout,
    machine.firing,
    machine.throttleLinkage,
    machine.notes,
    service.sparkPlug?.type ?? '',
    ...service.others.flatMap((figure) => [figure.name, figure.value, figure.unit]),
    owner === null ? '' : ownerWords(owner),
  ]);
}

export function visitWords(
  visit: Visit,
  machine: Machine,
  owner: Owner | null,
  entries: readonly Entry[],
): string {
  return joined([
    visit.complaint,
    ...entries.map(entryWords),
    visit.roadTest,
    visit.handOver,
    visit.nextDue.what,
    visit.notes,
    visit.technician,
    visit.day,
    VISIT_STATE_WORDS[visit.state],
    visit.odometer === null ? '' : `${visit.odometer.value} ${visit.odometer.unit}`,
    machineWords(machine, owner),
  ]);
}

/** As lists and headings name it. */
export function machineTitle(machine: Pick<Machine, 'make' | 'model' | 'year'>): string {
  return joined([machine.make, machine.model, machine.year === null ? '' : String(machine.year)], ' ');
}

function entryWords({ body }: Entry): string {
  switch (body.kind) {
    case 'check':
      return joined([body.name, body.note]);
    case 'clearance':
      return body.note;
    case 'finding':
      return body.text;
    case 'part':
      return joined([body.name, body.number, body.supplier, body.state, body.note]);
    case 'labour':
      return body.text;
    case 'fluid':
      return body.name;
    case 'note':
      return body.text;
  }
}

const joined = (pieces: readonly string[], by = '\n'): string =>
  pieces.filter((piece) => piece !== '').join(by);

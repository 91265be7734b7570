import type { MachineRow } from '../../../server/contract/jobs-views.ts';

export function machineName(machine: Pick<MachineRow, 'make' | 'model' | 'year'>): string {
  const name = [machine.make, machine.model, machine.year === null ? '' : String(machine.year)]
    .filter((part) => part !== '')
    .join(' ');
  return name === '' ? 'Machine without a name' : name;
}

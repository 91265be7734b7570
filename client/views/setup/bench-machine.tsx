import type { FiringSetup, Setup } from '../../../server/contract/setup.ts';
import { machineName } from '../jobs/machine-name.ts';
import { records } from '../jobs/record-api.ts';
import { useFetched } from '../jobs/use-fetched.ts';
import { firingOfMachine } from './firing-of-machine.ts';
import { firingSentence } from './firing-words.ts';

export interface BenchMachineProps {
  readonly visitId: string;
  readonly settings: Setup;
  readonly onTake: (firing: FiringSetup) => void;
}

/** What the record of the machine on the bench says of its firing, and one tap to use it where that is clear. */
export function BenchMachine({ visitId, settings, onTake }: BenchMachineProps) {
  const job = useFetched(() => records.job(visitId), visitId);
  const machine = job.value?.machine;
  if (machine === undefined || (machine.layout === '' && machine.firing === '')) return null;
  const told =
    settings.strokes === 4 && machine.cylinders === settings.cylinders ? firingOfMachine(machine) : null;
  const said = [machine.layout, machine.firing].filter((words) => words !== '').join(', ');
  return (
    <div class="choice">
      <p class="field-note">
        On the bench, {machineName(machine)}: {said}.
      </p>
      {told !== null && JSON.stringify(told) !== JSON.stringify(settings.firing) && (
        <button type="button" data-testid="firing-of-machine" onClick={() => onTake(told)}>
          Use: {firingSentence(told)}
        </button>
      )}
    </div>
  );
}

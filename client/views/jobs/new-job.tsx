import { useState } from 'preact/hooks';
import type { ErrorBody } from '../../../server/contract/http.ts';
import type { Odometer } from '../../../server/contract/jobs-values.ts';
import { storedChoice } from '../../settings/stored-choice.ts';
import { dayWords, today } from './day-words.ts';
import { machineName } from './machine-name.ts';
import { NewMachine } from './new-machine.tsx';
import { OdometerField } from './odometer-field.tsx';
import { go } from './place.ts';
import { addressOf } from './place-address.ts';
import { ProblemLine } from './problem-line.tsx';
import { records } from './record-api.ts';
import { TextField } from './text-field.tsx';
import { useFetched } from './use-fetched.ts';
import { useKeptText } from './use-kept.ts';

/** Who works at this screen. */
const technician = storedChoice(
  'technician',
  (text) => text ?? '',
  (name) => name,
);

/** From the machine and its complaint to a job. */
export function NewJob({ machineId }: { machineId: string | null }) {
  const [chosen, setChosen] = useState(machineId);
  const [fresh, setFresh] = useState(false);
  return (
    <>
      <a href={addressOf({ at: 'list' })}>All jobs</a>
      <h1>New job</h1>
      {chosen !== null ? (
        <Complaint machineId={chosen} />
      ) : fresh ? (
        <NewMachine onMade={setChosen} onBack={() => setFresh(false)} />
      ) : (
        <MachineChoice onChoose={setChosen} onNew={() => setFresh(true)} />
      )}
    </>
  );
}

function MachineChoice({ onChoose, onNew }: { onChoose: (id: string) => void; onNew: () => void }) {
  const [q, setQ] = useState('');
  const list = useFetched(() => records.machines({ q, practice: 'with', limit: '20' }), q);
  return (
    <section class="panel" aria-labelledby="which-machine">
      <h2 class="panel-name" id="which-machine">
        Which machine?
      </h2>
      <button type="button" class="strong start" data-testid="new-machine" onClick={onNew}>
        A machine that was never here
      </button>
      <TextField
        name="Or find one by make, model, plate, frame number or owner"
        id="machine-q"
        value={q}
        onInput={setQ}
      />
      <ProblemLine problem={list.problem} again={list.again} />
      <ul class="job-rows">
        {(list.value?.rows ?? []).map((row) => (
          <li key={row.id}>
            <button type="button" class="job-row" onClick={() => onChoose(row.id)}>
              <span class="job-machine">
                {machineName(row)}
                {row.practice && <span class="practice-mark"> practice</span>}
              </span>
              <span class="job-state">
                {row.lastVisitDay === null ? 'no visit yet' : dayWords(row.lastVisitDay)}
              </span>
              <span class="job-facts">
                {[row.owner ?? '', row.plate ?? '', row.frameNumber].filter((fact) => fact !== '').join(', ')}
              </span>
            </button>
          </li>
        ))}
      </ul>
    </section>
  );
}

function Complaint({ machineId }: { machineId: string }) {
  const machine = useFetched(() => records.machine(machineId), machineId);
  const { text: complaint, setText, clear, note } = useKeptText(`complaint of machine ${machineId}`);
  const [odometer, setOdometer] = useState<Odometer | null>(null);
  const [problem, setProblem] = useState<ErrorBody | null>(null);
  const start = async () => {
    const made = await records.startVisit({
      machineId,
      day: today(),
      complaint: complaint.trim(),
      odometer,
      technician: technician.value.trim(),
    });
    if (!made.ok) return setProblem(made.error);
    clear();
    go({ at: 'job', id: made.value.id });
  };
  return (
    <section class="panel" aria-labelledby="the-complaint">
      <h2 class="panel-name" id="the-complaint">
        {machine.value === null ? 'The complaint' : `The complaint: ${machineName(machine.value)}`}
      </h2>
      <TextField
        name="What does the owner say?"
        id="complaint"
        lines={4}
        value={complaint}
        note={note}
        onInput={setText}
      />
      <OdometerField id="odometer" value={odometer} onChange={setOdometer} />
      <TextField
        name="Technician"
        id="technician"
        value={technician.value}
        onInput={(value) => {
          technician.value = value;
        }}
      />
      <ProblemLine problem={problem ?? machine.problem} again={problem === null ? machine.again : start} />
      <button type="button" class="strong start" data-testid="start-job" onClick={start}>
        Start the job
      </button>
    </section>
  );
}

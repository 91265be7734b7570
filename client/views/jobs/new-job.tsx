import { useState } from 'preact/hooks';
import type { ErrorBody } from '../../../server/contract/http.ts';
import type { MachineFields, Owner } from '../../../server/contract/jobs.ts';
import type { Odometer } from '../../../server/contract/jobs-values.ts';
import { source } from '../../link/latest.ts';
import { storedChoice } from '../../settings/stored-choice.ts';
import { dayWords, today } from './day-words.ts';
import { useKeptText } from './kept-text.ts';
import { machineName } from './machine-name.ts';
import { NO_FIGURES } from './no-figures.ts';
import { OdometerField } from './odometer-field.tsx';
import { OwnerChoice } from './owner-choice.tsx';
import { go } from './place.ts';
import { addressOf } from './place-address.ts';
import { ProblemLine } from './problem-line.tsx';
import { records } from './record-api.ts';
import { TextField } from './text-field.tsx';
import { useFetched } from './use-fetched.ts';

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

function NewMachine({ onMade, onBack }: { onMade: (id: string) => void; onBack: () => void }) {
  const [owner, setOwner] = useState<Owner | null>(null);
  const [fields, setFields] = useState({
    make: '',
    model: '',
    year: '',
    plate: '',
    frameNumber: '',
    cylinders: '2',
    layout: '',
  });
  const [practice, setPractice] = useState(false);
  const [problem, setProblem] = useState<ErrorBody | null>(null);
  const input = (key: keyof typeof fields) => ({
    id: `new-${key}`,
    value: fields[key],
    onInput: (value: string) => setFields((now) => ({ ...now, [key]: value })),
  });
  const make = async () => {
    const year = Number(fields.year);
    const cylinders = Number(fields.cylinders);
    const machine: MachineFields = {
      ownerId: owner?.id ?? null,
      make: fields.make.trim(),
      model: fields.model.trim(),
      year: fields.year.trim() === '' || !Number.isInteger(year) ? null : year,
      frameNumber: fields.frameNumber.trim(),
      plate: fields.plate.trim() === '' ? null : fields.plate.trim(),
      cylinders: Number.isInteger(cylinders) ? cylinders : 2,
      layout: fields.layout.trim(),
      firing: '',
      throttleLinkage: '',
      service: NO_FIGURES,
      notes: '',
      practice,
    };
    const made = await records.addMachine(machine);
    if (made.ok) onMade(made.value.id);
    else setProblem(made.error);
  };
  return (
    <section class="panel" aria-labelledby="the-machine">
      <h2 class="panel-name" id="the-machine">
        The machine
      </h2>
      <OwnerChoice owner={owner} onChoose={setOwner} />
      <div class="field-pair">
        <TextField name="Make" {...input('make')} />
        <TextField name="Model" {...input('model')} />
      </div>
      <div class="field-pair">
        <TextField name="Year" {...input('year')} most={4} />
        <TextField name="Cylinders" {...input('cylinders')} most={1} />
      </div>
      <TextField name="Layout" note="In your words: parallel twin, V-four." {...input('layout')} />
      <div class="field-pair">
        <TextField name="Plate" {...input('plate')} />
        <TextField name="Frame number" {...input('frameNumber')} />
      </div>
      {(source.value?.practice ?? false) && (
        <label class="switch">
          <input
            type="checkbox"
            checked={practice}
            onChange={(event) => setPractice(event.currentTarget.checked)}
          />
          This is the practice engine: keep it apart from real machines
        </label>
      )}
      <ProblemLine problem={problem} again={make} />
      <div class="button-row">
        <button type="button" class="strong" data-testid="make-machine" onClick={make}>
          Write it down
        </button>
        <button type="button" onClick={onBack}>
          Back
        </button>
      </div>
    </section>
  );
}

function Complaint({ machineId }: { machineId: string }) {
  const machine = useFetched(() => records.machine(machineId), machineId);
  const [complaint, setComplaint] = useKeptText(`complaint of machine ${machineId}`);
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
    setComplaint('');
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
        onInput={setComplaint}
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

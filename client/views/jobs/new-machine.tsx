import { useState } from 'preact/hooks';
import type { ErrorBody } from '../../../server/contract/http.ts';
import type { MachineFields, Owner } from '../../../server/contract/jobs.ts';
import { source } from '../../link/latest.ts';
import { NO_FIGURES } from './no-figures.ts';
import { OwnerChoice } from './owner-choice.tsx';
import { ProblemLine } from './problem-line.tsx';
import { records } from './record-api.ts';
import { SelectField } from './select-field.tsx';
import { TextField } from './text-field.tsx';
import { typedYear, WRONG_YEAR } from './typed-year.ts';
import { useKept } from './use-kept.ts';

const NOT_TYPED = {
  make: '',
  model: '',
  year: '',
  plate: '',
  frameNumber: '',
  cylinders: '2',
  layout: '',
};

const CYLINDERS = Array.from({ length: 8 }, (_, at) => ({ value: String(at + 1), words: String(at + 1) }));

const NO_YEAR: ErrorBody = {
  code: 'not-sent',
  message: 'The year cannot be written down as it stands.',
  whatToDo: WRONG_YEAR,
};

/** A machine that was never here, with its owner. */
export function NewMachine({ onMade, onBack }: { onMade: (id: string) => void; onBack: () => void }) {
  const [owner, setOwner] = useState<Owner | null>(null);
  const { fields, set, clear, note } = useKept('new machine', NOT_TYPED);
  const [practice, setPractice] = useState(false);
  const [problem, setProblem] = useState<ErrorBody | null>(null);
  const input = (key: keyof typeof fields) => ({
    id: `new-${key}`,
    value: fields[key],
    onInput: (value: string) => set({ [key]: value }),
  });
  const make = async () => {
    const year = typedYear(fields.year);
    if (year === 'wrong') return setProblem(NO_YEAR);
    const machine: MachineFields = {
      ownerId: owner?.id ?? null,
      make: fields.make.trim(),
      model: fields.model.trim(),
      year,
      frameNumber: fields.frameNumber.trim(),
      plate: fields.plate.trim() === '' ? null : fields.plate.trim(),
      cylinders: Number(fields.cylinders),
      layout: fields.layout.trim(),
      firing: '',
      throttleLinkage: '',
      service: NO_FIGURES,
      notes: '',
      practice,
    };
    const made = await records.addMachine(machine);
    if (!made.ok) return setProblem(made.error);
    clear();
    onMade(made.value.id);
  };
  return (
    <section class="panel" aria-labelledby="the-machine">
      <h2 class="panel-name" id="the-machine">
        The machine
      </h2>
      {note !== '' && <p class="field-note">{note}</p>}
      <OwnerChoice owner={owner} onChoose={setOwner} />
      <div class="field-pair">
        <TextField name="Make" {...input('make')} />
        <TextField name="Model" {...input('model')} />
      </div>
      <div class="field-pair">
        <TextField name="Year" {...input('year')} most={4} />
        <SelectField
          name="Cylinders"
          id="new-cylinders"
          value={fields.cylinders}
          options={CYLINDERS}
          onChoose={(cylinders) => set({ cylinders })}
        />
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
        <button
          type="button"
          onClick={() => {
            clear();
            onBack();
          }}
        >
          Back
        </button>
      </div>
    </section>
  );
}

import type { VisitFields } from '../../../server/contract/jobs.ts';
import type { Job } from '../../../server/contract/jobs-views.ts';
import { VISIT_STATE_WORDS, VISIT_STATES } from '../../../server/contract/visit-states.ts';
import { BenchJobButton } from './bench-job-button.tsx';
import { machineName } from './machine-name.ts';
import { OdometerField } from './odometer-field.tsx';
import { addressOf } from './place-address.ts';
import { SelectField } from './select-field.tsx';
import { TextField, textOf } from './text-field.tsx';
import type { EntryEdit } from './use-entry.ts';

const STATES = VISIT_STATES.map((value) => ({ value, words: VISIT_STATE_WORDS[value] }));

/** What came in: whose, with how many miles, and why. */
export function JobHead({ job, edit }: { job: Job; edit: EntryEdit<VisitFields> }) {
  const { machine, owner, visit } = job;
  const { draft } = edit;
  return (
    <>
      <div class="page-head">
        <h1>
          {machineName(machine)}
          {visit.practice && <span class="practice-mark"> practice</span>}
        </h1>
        <div class="button-row">
          <BenchJobButton visitId={visit.id} />
          <a class="file-link" href={addressOf({ at: 'machine', id: machine.id })}>
            Machine and history
          </a>
        </div>
      </div>
      <p class="field-note">
        {[owner?.name ?? 'no owner written down', machine.plate ?? '', machine.layout]
          .filter((part) => part !== '')
          .join(', ')}
      </p>
      <section class="panel" aria-labelledby="came-in">
        <h2 class="panel-name" id="came-in">
          Taken in
        </h2>
        <TextField name="Complaint" id="complaint" lines={3} {...textOf(edit, 'complaint')} />
        <div class="field-grid">
          <SelectField
            name="State of the job"
            id="state"
            value={draft.state}
            options={STATES}
            onChoose={(state) => edit.save({ state })}
          />
          <TextField
            name="Day"
            id="day"
            type="date"
            value={draft.day}
            onInput={(day) => edit.set({ day })}
            onLeave={() => edit.save()}
          />
          <OdometerField
            id="odometer"
            value={draft.odometer}
            onChange={(odometer) => edit.save({ odometer })}
          />
          <TextField name="Technician" id="technician" {...textOf(edit, 'technician')} />
        </div>
      </section>
    </>
  );
}

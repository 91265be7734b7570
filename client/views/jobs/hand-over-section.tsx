import type { VisitFields } from '../../../server/contract/jobs.ts';
import type { Job } from '../../../server/contract/jobs-views.ts';
import { today } from './day-words.ts';
import { EntryStatus } from './entry-status.tsx';
import { OdometerField } from './odometer-field.tsx';
import { addresses } from './record-api.ts';
import { TextField, textOf } from './text-field.tsx';
import type { EntryEdit } from './use-entry.ts';

/** From the road test to the owner's hands. */
export function HandOverSection({ job, edit }: { job: Job; edit: EntryEdit<VisitFields> }) {
  const { draft } = edit;
  const due = (change: Partial<VisitFields['nextDue']>) => ({ nextDue: { ...draft.nextDue, ...change } });
  const { id } = job.visit;
  return (
    <section class="panel" aria-labelledby="hand-over-name">
      <h2 class="panel-name" id="hand-over-name">
        Road test and hand-over
      </h2>
      <p class="field-note">
        Before the road test: sensor hoses off, port screws or caps refitted, bodywork on, throttle springs
        back by itself in every position of the handlebar.
      </p>
      <TextField name="Road test" id="road-test" lines={2} {...textOf(edit, 'roadTest')} />
      <TextField name="Told to the owner" id="hand-over" lines={2} {...textOf(edit, 'handOver')} />
      <TextField name="Notes for the shop" id="notes" lines={2} {...textOf(edit, 'notes')} />
      <div class="field-grid">
        <TextField
          name="Due next: what"
          id="due-what"
          value={draft.nextDue.what}
          onInput={(what) => edit.set(due({ what }))}
          onLeave={() => edit.save()}
        />
        <TextField
          name="Due next: by"
          id="due-day"
          type="date"
          value={draft.nextDue.day ?? ''}
          onInput={(day) => edit.set(due({ day: day === '' ? null : day }))}
          onLeave={() => edit.save()}
        />
        <OdometerField
          name="Due next: at"
          id="due-odometer"
          value={draft.nextDue.odometer}
          onChange={(odometer) => edit.save(due({ odometer }))}
        />
        <TextField
          name="Handed over on"
          id="handed-over-on"
          type="date"
          value={draft.handedOverOn ?? ''}
          onInput={(day) => edit.set({ handedOverOn: day === '' ? null : day })}
          onLeave={() => edit.save()}
        />
      </div>
      <EntryStatus {...edit} />
      <div class="button-row">
        {draft.state !== 'handed-over' && (
          <button
            type="button"
            class="strong"
            data-testid="hand-over-button"
            onClick={() => edit.save({ state: 'handed-over', handedOverOn: draft.handedOverOn ?? today() })}
          >
            Hand over
          </button>
        )}
        <a
          class="file-link"
          href={addresses.report(id)}
          target="_blank"
          rel="noreferrer"
          data-testid="report"
        >
          Report to print
        </a>
        <a class="file-link" href={addresses.report(id)} download={`job-${job.visit.day}-report.html`}>
          Report as a file for e-mail
        </a>
        <a class="file-link" href={addresses.jobExport(id)} download>
          Whole job as a file
        </a>
      </div>
    </section>
  );
}

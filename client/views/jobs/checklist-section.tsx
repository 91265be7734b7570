import { EntryStatus } from './entry-status.tsx';
import type { JobSectionProps } from './job-page.tsx';
import { RemoveButton } from './remove-button.tsx';
import { SelectField } from './select-field.tsx';
import { TextField } from './text-field.tsx';
import { useKeptText } from './use-kept.ts';
import { addLine, type LineOf, linesOf, useLine } from './use-line.ts';

const RESULTS = [
  { value: 'open', words: 'not looked at yet' },
  { value: 'good', words: 'good' },
  { value: 'needs-work', words: 'needs work' },
  { value: 'not-applicable', words: 'does not apply' },
] as const;

/** What has to be right before balancing can cure anything. */
export function ChecklistSection({ job, again }: JobSectionProps) {
  const lines = linesOf(job, 'check');
  const { text: name, setText: setName, clear, note } = useKeptText(`check of ${job.visit.id}`);
  const open = lines.filter(({ body }) => body.result === 'open').length;
  const add = async () => {
    if (name.trim() === '') return;
    if (await addLine(job, { kind: 'check', name: name.trim(), result: 'open', note: '' }, again)) clear();
  };
  return (
    <section class="panel" aria-labelledby="checks-name">
      <h2 class="panel-name" id="checks-name">
        Before balancing
      </h2>
      <p class="field-note">
        {open === 0
          ? 'Everything was looked at.'
          : `${open} not looked at yet. Balancing cures none of these: put them right first.`}
      </p>
      <ul class="line-list">
        {lines.map((line) => (
          <CheckLine key={line.id} line={line} again={again} />
        ))}
      </ul>
      <div class="with-button">
        <TextField name="Another check" id="new-check" value={name} note={note} onInput={setName} />
        <button type="button" onClick={add}>
          Add
        </button>
      </div>
    </section>
  );
}

function CheckLine({ line, again }: { line: LineOf<'check'>; again: () => void }) {
  const edit = useLine(line, again);
  const { body } = edit;
  return (
    <li class="line">
      <div class="check-line">
        <SelectField
          name={body.name}
          id={`check-${line.id}`}
          value={body.result}
          options={RESULTS}
          onChoose={(result) => edit.save({ result })}
        />
        {(body.result === 'needs-work' || body.note !== '') && (
          <TextField
            name="Note"
            id={`check-note-${line.id}`}
            value={body.note}
            onInput={(note) => edit.set({ note })}
            onLeave={() => edit.save()}
          />
        )}
        <RemoveButton what={body.name} onRemove={edit.remove} />
      </div>
      {edit.status !== 'saved' && <EntryStatus {...edit} />}
    </li>
  );
}

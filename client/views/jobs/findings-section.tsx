import type { ErrorBody } from '../../../server/contract/http.ts';
import { notice } from '../../link/notice.ts';
import { EntryStatus } from './entry-status.tsx';
import { FileChoice, PICTURES } from './file-choice.tsx';
import type { JobSectionProps } from './job-page.tsx';
import { addresses, records } from './record-api.ts';
import { RemoveButton } from './remove-button.tsx';
import { SelectField } from './select-field.tsx';
import { TextField } from './text-field.tsx';
import { useKeptText } from './use-kept.ts';
import { addLine, type LineOf, linesOf, useLine } from './use-line.ts';

const WEIGHTS = [
  { value: 'note', words: 'worth knowing' },
  { value: 'needs-work', words: 'needs work' },
  { value: 'unsafe', words: 'unsafe to ride' },
] as const;

/** What was seen, with photos. */
export function FindingsSection({ job, again }: JobSectionProps) {
  const { text, setText, clear, note } = useKeptText(`finding of ${job.visit.id}`);
  const add = async () => {
    if (text.trim() === '') return;
    const body = { kind: 'finding' as const, text: text.trim(), weight: 'note' as const, photoIds: [] };
    if (await addLine(job, body, again)) clear();
  };
  return (
    <section class="panel" aria-labelledby="findings-name">
      <h2 class="panel-name" id="findings-name">
        Findings
      </h2>
      <ul class="line-list">
        {linesOf(job, 'finding').map((line) => (
          <Finding key={line.id} line={line} again={again} />
        ))}
      </ul>
      <TextField
        name="What was found"
        id="new-finding"
        lines={2}
        value={text}
        note={note}
        onInput={setText}
      />
      <button type="button" class="start" data-testid="add-finding" onClick={add}>
        Add
      </button>
    </section>
  );
}

function Finding({ line, again }: { line: LineOf<'finding'>; again: () => void }) {
  const edit = useLine(line, again);
  const { body } = edit;
  const addPhotos = async (files: readonly File[]) => {
    const added: string[] = [];
    let problem: ErrorBody | null = null;
    for (const file of files) {
      const kept = await records.addPhoto(file);
      if (kept.ok) added.push(kept.value.id);
      else problem = kept.error;
    }
    notice.value = problem;
    if (added.length > 0) edit.save(({ photoIds }) => ({ photoIds: [...new Set([...photoIds, ...added])] }));
  };
  return (
    <li class="line">
      <TextField
        name="Finding"
        id={`finding-${line.id}`}
        lines={2}
        value={body.text}
        onInput={(text) => edit.set({ text })}
        onLeave={() => edit.save()}
      />
      <SelectField
        name="How serious?"
        id={`weight-${line.id}`}
        value={body.weight}
        options={WEIGHTS}
        onChoose={(weight) => edit.save({ weight })}
      />
      <div class="photos">
        {body.photoIds.map((photoId, at) => (
          <figure key={photoId}>
            <a href={addresses.photo(photoId)} target="_blank" rel="noreferrer">
              <img
                src={addresses.photo(photoId)}
                alt={`${body.text.slice(0, 80)}, ${at + 1} of ${body.photoIds.length}`}
                loading="lazy"
              />
            </a>
            <RemoveButton
              what={`picture ${at + 1}`}
              words="Remove picture"
              onRemove={() =>
                edit.save(({ photoIds }) => ({ photoIds: photoIds.filter((one) => one !== photoId) }))
              }
            />
          </figure>
        ))}
      </div>
      <div class="button-row">
        <FileChoice words="Add photos" busyWords="Adding" accept={PICTURES} multiple take={addPhotos} />
        <RemoveButton what={body.text.slice(0, 40)} onRemove={edit.remove} />
      </div>
      {edit.status !== 'saved' && <EntryStatus {...edit} />}
    </li>
  );
}

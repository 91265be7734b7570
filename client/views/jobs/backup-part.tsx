import { useState } from 'preact/hooks';
import type { ShopFields } from '../../../server/contract/jobs.ts';
import { tell } from '../../link/notice.ts';
import { ProblemLine } from './problem-line.tsx';
import { records } from './record-api.ts';
import { SelectField } from './select-field.tsx';
import { SourceField } from './source-field.tsx';
import { useFetched } from './use-fetched.ts';

type Backup = ShopFields['backup'];

const EVERY = [
  { value: '1', words: 'every hour' },
  { value: '8', words: 'every 8 hours' },
  { value: '24', words: 'every day' },
  { value: '168', words: 'every week' },
] as const;

interface BackupPartProps {
  /** As it stands on the screen. */
  readonly backup: Backup;
  readonly stored: Backup;
  readonly onChange: (change: Partial<Backup>) => void;
}

/** Where the record is kept a second time, and when that was last done. */
export function BackupPart({ backup, stored, onChange }: BackupPartProps) {
  // By what the program has: a folder that is on its way there is none yet.
  const state = useFetched(() => records.backups(), JSON.stringify(stored));
  const [busy, setBusy] = useState(false);
  const every = String(backup.everyHours);
  const run = async () => {
    setBusy(true);
    const made = await tell(records.backUp());
    setBusy(false);
    if (made.ok) state.put(made.value);
    else state.again();
  };
  return (
    <section class="panel" aria-labelledby="backup-name">
      <h2 class="panel-name" id="backup-name">
        Backup
      </h2>
      <SourceField
        name="Folder on the computer with the board, such as a memory stick"
        id="backup-folder"
        source={backup.folder ?? ''}
        onChange={(folder) => onChange({ folder: folder.trim() === '' ? null : folder.trim() })}
      />
      <div class="field-grid">
        <SelectField
          name="How often"
          id="backup-every"
          value={every}
          options={
            EVERY.some(({ value }) => value === every)
              ? EVERY
              : [...EVERY, { value: every, words: `every ${every} hours` }]
          }
          onChoose={(value) => onChange({ everyHours: Number(value) })}
        />
      </div>
      <ProblemLine problem={state.problem} again={state.again} />
      {state.value !== null && (
        <dl class="facts">
          <div>
            <dt>Last backup</dt>
            <dd>{timeWords(state.value.lastMadeAtMs) ?? 'none yet'}</dd>
          </div>
          <div>
            <dt>Next</dt>
            <dd>{timeWords(state.value.nextAtMs) ?? 'not planned: name a folder'}</dd>
          </div>
          <div>
            <dt>Kept there</dt>
            <dd data-testid="backups-kept">{state.value.backups.length}</dd>
          </div>
          {state.value.lastProblem !== null && (
            <div>
              <dt>Problem</dt>
              <dd>{state.value.lastProblem}</dd>
            </div>
          )}
        </dl>
      )}
      <button type="button" class="start" disabled={busy || stored.folder === null} onClick={run}>
        {busy ? 'Backing up' : 'Back up now'}
      </button>
    </section>
  );
}

function timeWords(atMs: number | null): string | null {
  if (atMs === null) return null;
  return new Intl.DateTimeFormat(undefined, { dateStyle: 'medium', timeStyle: 'short' }).format(atMs);
}

import type { Clash } from './edit-merge.ts';
import { fieldWords, valueWords } from './field-words.ts';
import type { EntryEdit } from './use-entry.ts';

const WORDS = {
  saved: 'Saved',
  typing: 'Not saved yet',
  saving: 'Saving',
  'not-saved': 'Not saved',
} as const;

type StatusProps = Pick<
  EntryEdit<object>,
  'status' | 'problem' | 'clashes' | 'restored' | 'choose' | 'giveUp'
> & { readonly save: () => void };

/** Whether the entry is saved, and what to do where it could not be. */
export function EntryStatus(props: StatusProps) {
  const { status, problem, clashes, restored, save, choose, giveUp } = props;
  return (
    <div class="entry-status">
      <p class="field-note" role="status" data-testid="entry-status" data-status={status}>
        {WORDS[status]}
      </p>
      {restored && status === 'typing' && (
        <div class="entry-problem" role="alert" data-testid="restored">
          <p>
            This was typed before the page was closed, and is not saved yet. Save it, or throw it away and see
            what is in the record.
          </p>
          <div class="button-row">
            <button type="button" data-testid="restored-save" onClick={() => save()}>
              Save it
            </button>
            <button type="button" data-testid="restored-drop" onClick={giveUp}>
              Throw it away
            </button>
          </div>
        </div>
      )}
      {problem !== null && clashes.length === 0 && (
        <div class="entry-problem" role="alert">
          <p>
            {problem.message} {problem.whatToDo} What you typed is still here.
          </p>
          <button type="button" onClick={() => save()}>
            Save again
          </button>
        </div>
      )}
      {clashes.length > 0 && <Clashes clashes={clashes} choose={choose} />}
    </div>
  );
}

function Clashes({ clashes, choose }: { clashes: readonly Clash[]; choose: StatusProps['choose'] }) {
  return (
    <div class="entry-problem" role="alert" data-testid="clash">
      <p>Somebody else has changed the same thing on another screen. Nothing is lost: choose which stays.</p>
      <dl class="clash-list">
        {clashes.map(({ path, mine, theirs }) => (
          <div key={path.join('.')}>
            <dt>{fieldWords(path)}</dt>
            <dd>
              <span class="clash-whose">Yours</span> {valueWords(mine)}
            </dd>
            <dd>
              <span class="clash-whose">Theirs</span> {valueWords(theirs)}
            </dd>
          </div>
        ))}
      </dl>
      <div class="button-row">
        <button type="button" data-testid="clash-mine" onClick={() => choose('mine')}>
          Keep yours
        </button>
        <button type="button" data-testid="clash-theirs" onClick={() => choose('theirs')}>
          Take theirs
        </button>
      </div>
    </div>
  );
}

import { useEffect, useRef, useState } from 'preact/hooks';
import type { ErrorBody } from '../../../server/contract/http.ts';
import type { Answer } from '../../link/api.ts';
import { type Clash, mergeEdit, sameValue, takeTheirs } from './edit-merge.ts';
import { storedMeanwhile } from './record-api.ts';

/** An entry as it is stored, with the number of its last change. */
export interface Stored<F> {
  readonly revision: number;
  readonly fields: F;
}

export interface EntryEdit<F> {
  /** As it stands on the screen, saved or not. */
  readonly draft: F;
  readonly status: 'saved' | 'typing' | 'saving' | 'not-saved';
  /** Why it could not be saved. */
  readonly problem: ErrorBody | null;
  /** Fields that somebody else has changed as well. */
  readonly clashes: readonly Clash[];
  /** While typing. */
  readonly set: (change: Partial<F>) => void;
  /** When a field is left; with a change for what is chosen by one press. */
  readonly save: (change?: Partial<F>) => void;
  readonly choose: (whose: 'mine' | 'theirs') => void;
}

interface State<F> {
  base: Stored<F>;
  draft: F;
  saving: boolean;
  problem: ErrorBody | null;
  clashes: readonly Clash[];
}

/**
 * One entry of the record under the person's hands. It is saved when a field is left; what cannot be saved stays on
 * the screen. Changes of other people to other fields are taken in, and to the same field are shown to choose from.
 *
 * @param stored as it was last read
 * @param put sends all fields with the revision that they started from
 * @param take the answer's fields
 * @param onSaved told after each change that was stored
 */
export function useEntry<F extends object, S extends { readonly revision: number }>(
  stored: Stored<F>,
  put: (revision: number, fields: F) => Promise<Answer<S>>,
  take: (answer: S) => F,
  onSaved?: (answer: S) => void,
): EntryEdit<F> {
  const [, draw] = useState(0);
  const ref = useRef<State<F> | null>(null);
  ref.current ??= { base: stored, draft: stored.fields, saving: false, problem: null, clashes: [] };
  const state = ref.current;
  const redraw = () => draw((count) => count + 1);

  useEffect(() => {
    if (stored.revision <= state.base.revision || state.saving || state.clashes.length > 0) return;
    takeIn(state, stored);
    redraw();
  }, [stored.revision]);

  const run = async () => {
    if (state.saving || state.clashes.length > 0) return;
    state.saving = true;
    while (state.clashes.length === 0 && !sameValue(state.draft, state.base.fields)) {
      redraw();
      const sent = state.draft;
      const answer = await put(state.base.revision, sent);
      if (answer.ok) {
        const fields = take(answer.value);
        // What was typed while it was under way stays.
        state.draft = mergeEdit(sent, state.draft, fields).merged;
        state.base = { revision: answer.value.revision, fields };
        state.problem = null;
        onSaved?.(answer.value);
        continue;
      }
      const theirs = storedMeanwhile<S>(answer.error);
      if (theirs === null || theirs.revision === state.base.revision) {
        state.problem = answer.error;
        break;
      }
      takeIn(state, { revision: theirs.revision, fields: take(theirs) });
      onSaved?.(theirs);
    }
    if (sameValue(state.draft, state.base.fields)) state.problem = null;
    state.saving = false;
    redraw();
  };

  const set = (change: Partial<F>) => {
    state.draft = { ...state.draft, ...change };
    redraw();
  };
  return {
    draft: state.draft,
    status: statusOf(state),
    problem: state.problem,
    clashes: state.clashes,
    set,
    save: (change) => {
      if (change !== undefined) set(change);
      void run();
    },
    choose: (whose) => {
      if (whose === 'theirs') state.draft = takeTheirs(state.draft, state.clashes);
      state.clashes = [];
      redraw();
      void run();
    },
  };
}

function takeIn<F>(state: State<F>, stored: Stored<F>): void {
  const { merged, clashes } = mergeEdit(state.base.fields, state.draft, stored.fields);
  state.base = stored;
  state.draft = merged;
  state.clashes = clashes;
}

function statusOf<F>(state: State<F>): EntryEdit<F>['status'] {
  if (state.saving) return 'saving';
  if (state.problem !== null || state.clashes.length > 0) return 'not-saved';
  return sameValue(state.draft, state.base.fields) ? 'saved' : 'typing';
}

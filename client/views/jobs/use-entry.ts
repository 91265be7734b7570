import { useEffect, useRef, useState } from 'preact/hooks';
import type { ErrorBody } from '../../../server/contract/http.ts';
import type { Answer } from '../../link/api.ts';
import { type Clash, takeTheirs } from './edit-merge.ts';
import {
  type EntryStatusName,
  isUnsaved,
  keepUnsaved,
  kept,
  leave,
  opened,
  type State,
  save,
  statusOf,
  takeIn,
} from './entry-state.ts';
import type { Stored } from './unsaved-drafts.ts';

/** What changes, or how it follows from what stands there now. */
export type Change<F> = Partial<F> | ((draft: F) => Partial<F>);

export interface EntryEdit<F> {
  /** As it stands on the screen, saved or not. */
  readonly draft: F;
  readonly status: EntryStatusName;
  /** Why it could not be saved. */
  readonly problem: ErrorBody | null;
  /** Fields that somebody else has changed as well. */
  readonly clashes: readonly Clash[];
  /** It was typed before the page was closed, and is shown again. */
  readonly restored: boolean;
  /** While typing. */
  readonly set: (change: Change<F>) => void;
  /** When a field is left; with a change for what is chosen by one press. */
  readonly save: (change?: Change<F>) => void;
  readonly choose: (whose: 'mine' | 'theirs') => void;
  /** Back to what is stored. */
  readonly giveUp: () => void;
}

window.addEventListener('beforeunload', (event) => {
  if ([...kept.values()].some(isUnsaved)) event.preventDefault();
});

/**
 * One entry of the record under the person's hands. It is saved when a field is left; what cannot be saved stays on
 * the screen, also when another page was open meanwhile. Changes of other people to other fields are taken in, and
 * to the same field are shown to choose from.
 *
 * @param name of the entry in the whole record: its kind and id
 * @param stored as it was last read
 * @param put sends all fields with the revision that they started from
 * @param take the answer's fields
 * @param onSaved told after each change that was stored
 */
export function useEntry<F extends object, S extends { readonly revision: number }>(
  name: string,
  stored: Stored<F>,
  put: (revision: number, fields: F) => Promise<Answer<S>>,
  take: (answer: S) => F,
  onSaved?: (answer: S) => void,
): EntryEdit<F> {
  const [, draw] = useState(0);
  const redraw = () => draw((count) => count + 1);
  const ways = { put, take, onSaved, redraw };
  const ref = useRef<State<F, S> | null>(null);
  ref.current ??= (kept.get(name) as State<F, S> | undefined) ?? opened(name, stored, ways);
  const state = ref.current;
  state.ways = ways;

  useEffect(() => {
    kept.set(name, state);
    return () => leave(name, state);
  }, []);

  useEffect(() => {
    if (stored.revision <= state.base.revision || state.saving || state.clashes.length > 0) return;
    takeIn(state, stored);
    keepUnsaved(state);
    redraw();
  }, [stored.revision]);

  const set = (change: Change<F>) => {
    const { draft } = state;
    state.draft = { ...draft, ...(typeof change === 'function' ? change(draft) : change) };
    keepUnsaved(state);
    redraw();
  };
  return {
    draft: state.draft,
    status: statusOf(state),
    problem: state.problem,
    clashes: state.clashes,
    restored: state.restored,
    set,
    save: (change) => {
      if (change !== undefined) set(change);
      void save(state);
    },
    choose: (whose) => {
      if (whose === 'theirs') state.draft = takeTheirs(state.draft, state.clashes);
      state.clashes = [];
      state.startedFrom = state.base;
      keepUnsaved(state);
      redraw();
      void save(state);
    },
    giveUp: () => {
      state.draft = state.base.fields;
      state.startedFrom = state.base;
      state.clashes = [];
      state.problem = null;
      keepUnsaved(state);
      redraw();
    },
  };
}

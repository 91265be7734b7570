import { useEffect, useRef, useState } from 'preact/hooks';
import type { ErrorBody } from '../../../server/contract/http.ts';
import type { Answer } from '../../link/api.ts';
import { notice } from '../../link/notice.ts';
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

interface State<F, S> {
  base: Stored<F>;
  draft: F;
  saving: boolean;
  problem: ErrorBody | null;
  clashes: readonly Clash[];
  /** How it is saved and shown by the page that is open now. */
  ways: Ways<F, S>;
}

interface Ways<F, S> {
  readonly put: (revision: number, fields: F) => Promise<Answer<S>>;
  readonly take: (answer: S) => F;
  readonly onSaved?: ((answer: S) => void) | undefined;
  readonly redraw: () => void;
}

const STILL_TYPED: ErrorBody = {
  code: 'not-saved',
  message: 'Something that you typed on the page before is not saved yet.',
  whatToDo: 'Go back to that page: it is still there.',
};

/** Entries that are on the screen, and those that could not be saved before their page was left. */
const kept = new Map<string, { readonly draft: unknown; readonly base: Stored<unknown> }>();

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
  ref.current ??= (kept.get(name) as State<F, S> | undefined) ?? {
    base: stored,
    draft: stored.fields,
    saving: false,
    problem: null,
    clashes: [],
    ways,
  };
  const state = ref.current;
  state.ways = ways;

  useEffect(() => {
    kept.set(name, state);
    return () => leave(name, state);
  }, []);

  useEffect(() => {
    if (stored.revision <= state.base.revision || state.saving || state.clashes.length > 0) return;
    takeIn(state, stored);
    redraw();
  }, [stored.revision]);

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
      void save(state);
    },
    choose: (whose) => {
      if (whose === 'theirs') state.draft = takeTheirs(state.draft, state.clashes);
      state.clashes = [];
      redraw();
      void save(state);
    },
  };
}

async function save<F extends object, S extends { readonly revision: number }>(
  state: State<F, S>,
): Promise<void> {
  if (state.saving || state.clashes.length > 0) return;
  state.saving = true;
  while (state.clashes.length === 0 && isUnsaved(state)) {
    state.ways.redraw();
    const sent = state.draft;
    const answer = await state.ways.put(state.base.revision, sent);
    const { take, onSaved } = state.ways;
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
  if (!isUnsaved(state)) state.problem = null;
  state.saving = false;
  state.ways.redraw();
}

/** The page is left, perhaps without its field: tried once more, and kept for when the page is opened again. */
function leave<F extends object, S extends { readonly revision: number }>(
  name: string,
  state: State<F, S>,
): void {
  const gone: Ways<F, S> = { put: state.ways.put, take: state.ways.take, redraw: () => settle() };
  const settle = () => {
    if (state.saving || state.ways !== gone) return;
    if (!isUnsaved(state) || state.problem?.code === 'record-not-found') kept.delete(name);
    else notice.value = STILL_TYPED;
  };
  state.ways = gone;
  if (state.saving) return;
  if (state.clashes.length > 0) settle();
  else void save(state);
}

const isUnsaved = ({ draft, base }: { readonly draft: unknown; readonly base: Stored<unknown> }): boolean =>
  !sameValue(draft, base.fields);

function takeIn<F, S>(state: State<F, S>, stored: Stored<F>): void {
  const { merged, clashes } = mergeEdit(state.base.fields, state.draft, stored.fields);
  state.base = stored;
  state.draft = merged;
  state.clashes = clashes;
}

function statusOf<F, S>(state: State<F, S>): EntryEdit<F>['status'] {
  if (state.saving) return 'saving';
  if (state.problem !== null || state.clashes.length > 0) return 'not-saved';
  return isUnsaved(state) ? 'typing' : 'saved';
}

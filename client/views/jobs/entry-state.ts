/** An entry of the record between the person's hands and the program. */
import type { ErrorBody } from '../../../server/contract/http.ts';
import type { Answer } from '../../link/api.ts';
import { notice } from '../../link/notice.ts';
import { drafts } from './browser-drafts.ts';
import { type Clash, mergeEdit, sameValue } from './edit-merge.ts';
import { storedMeanwhile } from './record-api.ts';
import type { Stored } from './unsaved-drafts.ts';

export type EntryStatusName = 'saved' | 'typing' | 'saving' | 'not-saved';

export interface State<F, S> {
  readonly name: string;
  base: Stored<F>;
  /** As `base`, but with clashes open that of before them: so they are seen again after the page was closed. */
  startedFrom: Stored<F>;
  draft: F;
  saving: boolean;
  problem: ErrorBody | null;
  clashes: readonly Clash[];
  restored: boolean;
  /** How it is saved and shown by the page that is open now. */
  ways: Ways<F, S>;
}

export interface Ways<F, S> {
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
export const kept = new Map<string, { readonly draft: unknown; readonly base: Stored<unknown> }>();

/** As it is stored, with what was typed before the page was closed; what others changed since then is told apart. */
export function opened<F extends object, S>(name: string, stored: Stored<F>, ways: Ways<F, S>): State<F, S> {
  const before = drafts.of(name, stored.fields);
  const state: State<F, S> = {
    name,
    base: before?.base ?? stored,
    startedFrom: before?.base ?? stored,
    draft: before?.draft ?? stored.fields,
    saving: false,
    problem: null,
    clashes: [],
    restored: false,
    ways,
  };
  if (before === null) return state;
  takeIn(state, stored);
  state.restored = isUnsaved(state);
  keepUnsaved(state);
  return state;
}

/** What is not saved outlives the page; what is saved is forgotten. */
export function keepUnsaved<F, S>(state: State<F, S>): void {
  if (isUnsaved(state)) {
    drafts.keep(state.name, { base: state.startedFrom, draft: state.draft });
    return;
  }
  state.restored = false;
  drafts.drop(state.name);
}

export async function save<F extends object, S extends { readonly revision: number }>(
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
      state.startedFrom = state.base;
      state.problem = null;
      keepUnsaved(state);
      onSaved?.(answer.value);
      continue;
    }
    const theirs = storedMeanwhile<S>(answer.error);
    if (theirs === null || theirs.revision === state.base.revision) {
      state.problem = answer.error;
      break;
    }
    takeIn(state, { revision: theirs.revision, fields: take(theirs) });
    keepUnsaved(state);
    onSaved?.(theirs);
  }
  if (!isUnsaved(state)) state.problem = null;
  state.saving = false;
  state.ways.redraw();
}

/** The page is left, perhaps without its field: tried once more, and kept for when the page is opened again. */
export function leave<F extends object, S extends { readonly revision: number }>(
  name: string,
  state: State<F, S>,
): void {
  const gone: Ways<F, S> = { put: state.ways.put, take: state.ways.take, redraw: () => settle() };
  const settle = () => {
    if (state.saving || state.ways !== gone) return;
    if (!isUnsaved(state)) kept.delete(name);
    else if (state.problem?.code === 'record-not-found') {
      kept.delete(name);
      drafts.drop(name);
    } else notice.value = STILL_TYPED;
  };
  state.ways = gone;
  if (state.saving) return;
  if (state.clashes.length > 0) settle();
  else void save(state);
}

export const isUnsaved = ({
  draft,
  base,
}: {
  readonly draft: unknown;
  readonly base: Stored<unknown>;
}): boolean => !sameValue(draft, base.fields);

export function takeIn<F, S>(state: State<F, S>, stored: Stored<F>): void {
  const { merged, clashes } = mergeEdit(state.base.fields, state.draft, stored.fields);
  state.base = stored;
  if (clashes.length === 0) state.startedFrom = stored;
  state.draft = merged;
  state.clashes = clashes;
}

export function statusOf<F, S>(state: State<F, S>): EntryStatusName {
  if (state.saving) return 'saving';
  if (state.problem !== null || state.clashes.length > 0) return 'not-saved';
  return isUnsaved(state) ? 'typing' : 'saved';
}

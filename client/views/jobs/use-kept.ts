import { useState } from 'preact/hooks';
import { drafts } from './browser-drafts.ts';
import { sameValue } from './edit-merge.ts';

export interface Kept<F> {
  readonly fields: F;
  readonly set: (change: Partial<F>) => void;
  /** It is written down, or not wanted any more. */
  readonly clear: () => void;
  /** What to say beside it where it was typed before the page was closed. */
  readonly note: string;
}

const TYPED_BEFORE = 'This was typed before the page was closed, and is not in the record yet.';

/**
 * What is typed and has no place in the record yet. It is still there after the page was closed or the browser
 * crashed, until it is written down.
 * @param name of what it is written for, with its id
 * @param empty the fields with nothing typed
 */
export function useKept<F extends object>(name: string, empty: F): Kept<F> {
  const [before] = useState(() => drafts.of(name, empty)?.draft ?? null);
  const [fields, show] = useState(before ?? empty);
  const [restored, setRestored] = useState(before !== null);
  const take = (next: F) => {
    show(next);
    if (sameValue(next, empty)) {
      setRestored(false);
      drafts.drop(name);
    } else drafts.keep(name, { base: { revision: 0, fields: empty }, draft: next });
  };
  return {
    fields,
    set: (change) => take({ ...fields, ...change }),
    clear: () => take(empty),
    note: restored ? TYPED_BEFORE : '',
  };
}

const NOTHING = { text: '' };

/** The same for one text. */
export function useKeptText(name: string) {
  const { fields, set, clear, note } = useKept(name, NOTHING);
  return { text: fields.text, setText: (text: string) => set({ text }), clear, note };
}

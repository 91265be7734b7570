import { useState } from 'preact/hooks';
import { drafts } from './browser-drafts.ts';

const NOTHING = { text: '' };

/**
 * The text of a line that is not in the record yet. It is still there after the page was closed or the browser
 * crashed, until it is written down and set to ''.
 * @param name of what it is written for, with its id
 */
export function useKeptText(name: string): readonly [string, (text: string) => void] {
  const [text, show] = useState(() => drafts.of(name, NOTHING)?.draft.text ?? '');
  const set = (typed: string) => {
    show(typed);
    if (typed === '') drafts.drop(name);
    else drafts.keep(name, { base: { revision: 0, fields: NOTHING }, draft: { text: typed } });
  };
  return [text, set];
}

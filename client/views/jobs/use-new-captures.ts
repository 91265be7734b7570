import { useEffect, useRef } from 'preact/hooks';
import { captures } from '../../link/latest.ts';

/** Calls when a capture has ended meanwhile, at whichever screen it was started. */
export function useNewCaptures(onNew: () => void): void {
  const ended = captures.value.filter(({ state }) => state !== 'recording').length;
  const seen = useRef(ended);
  useEffect(() => {
    if (seen.current === ended) return;
    seen.current = ended;
    onNew();
  }, [ended]);
}

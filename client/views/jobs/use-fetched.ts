import { useEffect, useRef, useState } from 'preact/hooks';
import type { ErrorBody } from '../../../server/contract/http.ts';
import type { Answer } from '../../link/api.ts';

export interface Fetched<T> {
  /** What was read last; it stays in sight while it is read again. */
  readonly value: T | null;
  readonly problem: ErrorBody | null;
  readonly again: () => void;
  readonly put: (value: T) => void;
}

/** Reads something of the record when the page opens, when its question changes, and when the screen is looked at again. */
export function useFetched<T>(ask: () => Promise<Answer<T>>, question: string): Fetched<T> {
  const [value, put] = useState<T | null>(null);
  const [problem, setProblem] = useState<ErrorBody | null>(null);
  const newest = useRef(0);
  const again = () => {
    const mine = ++newest.current;
    void ask().then((answer) => {
      // An answer to an older question comes too late.
      if (mine !== newest.current) return;
      if (answer.ok) put(answer.value);
      setProblem(answer.ok ? null : answer.error);
    });
  };
  useEffect(() => {
    again();
    const look = () => {
      if (document.visibilityState === 'visible') again();
    };
    document.addEventListener('visibilitychange', look);
    return () => {
      newest.current++;
      document.removeEventListener('visibilitychange', look);
    };
  }, [question]);
  return { value, problem, again, put };
}

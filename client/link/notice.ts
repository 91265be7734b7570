import { signal } from '@preact/signals';
import type { ErrorBody } from '../../server/contract/http.ts';
import type { Answer } from './api.ts';

/** What went wrong with the last thing the person asked for, until it is put away or something works. */
export const notice = signal<ErrorBody | null>(null);

/** Shows the refusal as sentences; hands on the answer. */
export async function tell<T>(asked: Promise<Answer<T>>): Promise<Answer<T>> {
  const answer = await asked;
  notice.value = answer.ok ? null : answer.error;
  return answer;
}

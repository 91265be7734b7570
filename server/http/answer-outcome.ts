import type { Outcome } from '../session/measuring-parts.ts';
import { AnswerError } from './error-answer.ts';

/** The value of something the person asked for. @throws AnswerError with the reason where it was not done */
export function answerOutcome<T>(outcome: Outcome<T>): T {
  if (!outcome.ok) throw new AnswerError(outcome.code, outcome.detail);
  return outcome.value;
}

/**
 * Every error that a person can meet: a code, one sentence for the mechanic, what to do about it, and the
 * HTTP status where it can be an answer. The table in DEVELOPERS.md is held equal to this by a test.
 */
import { ACCESS_ERRORS } from './errors/access-errors.ts';
import { BOARD_ERRORS } from './errors/board-errors.ts';
import { CALIBRATION_ERRORS } from './errors/calibration-errors.ts';
import { MEASURING_ERRORS } from './errors/measuring-errors.ts';
import { RECORD_ERRORS } from './errors/record-errors.ts';
import { REQUEST_ERRORS } from './errors/request-errors.ts';
import { START_ERRORS } from './errors/start-errors.ts';

export const ERROR_CATALOGUE = {
  ...BOARD_ERRORS,
  ...REQUEST_ERRORS,
  ...ACCESS_ERRORS,
  ...MEASURING_ERRORS,
  ...CALIBRATION_ERRORS,
  ...RECORD_ERRORS,
  ...START_ERRORS,
};

export type ErrorCode = keyof typeof ERROR_CATALOGUE;

/** What went wrong and what to do, in one line for the screen. */
export function sentenceFor(code: ErrorCode): string {
  const { message, whatToDo } = ERROR_CATALOGUE[code];
  return `${message} ${whatToDo}`;
}

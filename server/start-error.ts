import { ERROR_CATALOGUE, type ErrorCode } from './error-catalogue.ts';

/** The service cannot start: one sentence for the person, and exit code 2. */
export class StartError extends Error {
  readonly code: ErrorCode;

  constructor(code: ErrorCode, detail: string) {
    const { message, whatToDo } = ERROR_CATALOGUE[code];
    super(`${message.replace(/\.$/, '')}: ${detail.replace(/\.$/, '')}. ${whatToDo}`);
    this.code = code;
  }
}

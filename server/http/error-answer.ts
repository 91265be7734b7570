import type { FastifyError, FastifyReply, FastifyRequest } from 'fastify';
import type { ErrorBody } from '../contract/http.ts';
import { ERROR_CATALOGUE, type ErrorCode } from '../error-catalogue.ts';
import { RecordsTrouble } from '../jobs/postgres/records-trouble.ts';
import { TextWithNul } from '../jobs/sqlite-database.ts';

/** Thrown by a route to answer with an entry of the catalogue. */
export class AnswerError extends Error {
  readonly code: ErrorCode;
  readonly detail: string | undefined;

  constructor(code: ErrorCode, detail?: string) {
    super(ERROR_CATALOGUE[code].message);
    this.code = code;
    this.detail = detail;
  }
}

/** The body of an error answer. Details come from our own checks, never from an exception's words. */
export function errorBody(code: ErrorCode, detail?: string): ErrorBody {
  const { message, whatToDo } = ERROR_CATALOGUE[code];
  return {
    code,
    message: detail === undefined ? message : `${message} (${detail})`,
    whatToDo,
  };
}

export function sendError(reply: FastifyReply, code: ErrorCode, detail?: string): FastifyReply {
  return reply.status(ERROR_CATALOGUE[code].httpStatus || 500).send(errorBody(code, detail));
}

/** Turns whatever a route threw into an answer of the catalogue; a stack trace goes to the log alone. */
export function answerError(
  error: FastifyError | AnswerError | RecordsTrouble | TextWithNul,
  request: FastifyRequest,
  reply: FastifyReply,
) {
  if (error instanceof AnswerError) return sendError(reply, error.code, error.detail);
  if (error instanceof RecordsTrouble) {
    request.log.warn(error.message);
    return sendError(reply, error.code);
  }
  if (error instanceof TextWithNul) return sendError(reply, 'bad-request', 'text with a NUL character');
  if (error.validation !== undefined) return sendError(reply, 'bad-request', error.message);
  const status = error.statusCode ?? 500;
  if (status >= 500) {
    request.log.error({ err: error }, 'request failed');
    return sendError(reply, 'internal-error');
  }
  return sendError(reply, CODES_BY_STATUS[status] ?? 'bad-request');
}

const CODES_BY_STATUS: Readonly<Record<number, ErrorCode>> = {
  404: 'not-found',
  405: 'method-not-allowed',
  413: 'body-too-large',
  415: 'unsupported-media-type',
};

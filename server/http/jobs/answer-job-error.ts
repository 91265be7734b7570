import type { FastifyError, FastifyReply, FastifyRequest } from 'fastify';
import type { RecordsTrouble } from '../../jobs/postgres/records-trouble.ts';
import { sqliteTrouble, TextWithNul } from '../../jobs/sqlite-database.ts';
import { type AnswerError, answerError, sendError } from '../error-answer.ts';

/** Of the operating system: no room, no room for this user, no room in this file. */
const DISK_FULL_CODES: ReadonlySet<string> = new Set(['ENOSPC', 'EDQUOT', 'EFBIG']);

/** What the disk says in the mechanic's words; all else as everywhere. */
export function answerJobError(
  error: FastifyError | AnswerError | RecordsTrouble,
  request: FastifyRequest,
  reply: FastifyReply,
): FastifyReply {
  const trouble = sqliteTrouble(error);
  if (trouble === 'disk-full' || DISK_FULL_CODES.has(error.code)) return sendError(reply, 'disk-full');
  if (trouble === 'damaged') return sendError(reply, 'data-damaged');
  if (error instanceof TextWithNul) return sendError(reply, 'bad-request', 'text with a NUL character');
  return answerError(error, request, reply);
}

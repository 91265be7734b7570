import type { FastifyError, FastifyReply, FastifyRequest } from 'fastify';
import { diskTrouble } from '../../jobs/disk-trouble.ts';
import type { RecordsTrouble } from '../../jobs/postgres/records-trouble.ts';
import { sqliteTrouble } from '../../jobs/sqlite-database.ts';
import { type AnswerError, answerError, sendError } from '../error-answer.ts';

/** What the disk says in the mechanic's words; all else as everywhere. */
export function answerJobError(
  error: FastifyError | AnswerError | RecordsTrouble,
  request: FastifyRequest,
  reply: FastifyReply,
): FastifyReply {
  const trouble = sqliteTrouble(error);
  if (trouble === 'disk-full' || diskTrouble(error) === 'full') return sendError(reply, 'disk-full');
  if (trouble === 'damaged') return sendError(reply, 'data-damaged');
  return answerError(error, request, reply);
}

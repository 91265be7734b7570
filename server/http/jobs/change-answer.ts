import type { FastifyReply } from 'fastify';
import Type from 'typebox';
import { Id } from '../../contract/jobs-values.ts';
import type { Changed } from '../../jobs/change-outcome.ts';
import { AnswerError, errorBody } from '../error-answer.ts';

export const IdParams = Type.Object({ id: Id });

/** `DELETE …?revision=3` */
export const RevisionQuery = Type.Object({ revision: Type.String({ pattern: '^\\d{1,9}$' }) });

/** The value of a change that was made; an answer with the reason where it was not. */
export function answerChange<T>(changed: Changed<T>, reply: FastifyReply, sent: unknown): T | FastifyReply {
  if (changed.ok) return changed.value;
  switch (changed.reason) {
    case 'not-found':
      throw new AnswerError('record-not-found');
    case 'in-use':
      throw new AnswerError('record-in-use', changed.detail);
    case 'bad-reference':
      throw new AnswerError('bad-request', changed.detail);
    case 'changed':
      return reply.status(409).send({ ...errorBody('record-changed'), stored: changed.stored, sent });
  }
}

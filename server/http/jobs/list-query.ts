import Type from 'typebox';
import { Text } from '../../contract/jobs-values.ts';
import { MAX_PAGE_ROWS, type PracticeFilter } from '../../jobs/list-page.ts';
import { AnswerError } from '../error-answer.ts';

/** What every list takes. Numbers are text in an address and are read below. */
export const listQuery = {
  q: Type.Optional(Text(200)),
  practice: Type.Optional(Type.Union([Type.Literal('without'), Type.Literal('with'), Type.Literal('only')])),
  offset: Type.Optional(Type.String({ pattern: '^\\d{1,7}$' })),
  limit: Type.Optional(Type.String({ pattern: '^\\d{1,3}$' })),
};

interface ListQuery {
  q?: string | undefined;
  practice?: PracticeFilter | undefined;
  offset?: string | undefined;
  limit?: string | undefined;
}

export function readListQuery({ q, practice, offset, limit }: ListQuery) {
  const rows = limit === undefined ? undefined : Number(limit);
  if (rows !== undefined && (rows < 1 || rows > MAX_PAGE_ROWS)) {
    throw new AnswerError('bad-request', `limit is 1 to ${MAX_PAGE_ROWS}`);
  }
  return {
    ...(q === undefined ? {} : { q }),
    ...(practice === undefined ? {} : { practice }),
    ...(offset === undefined ? {} : { offset: Number(offset) }),
    ...(rows === undefined ? {} : { limit: rows }),
  };
}

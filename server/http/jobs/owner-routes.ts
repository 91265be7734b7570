import Type from 'typebox';
import { changeOf, Owner, OwnerFields } from '../../contract/jobs.ts';
import { pageOf } from '../../contract/jobs-views.ts';
import { listOwners } from '../../jobs/owner-list.ts';
import type { TypedApp } from '../app-parts.ts';
import { AnswerError } from '../error-answer.ts';
import { answerChange, IdParams, RevisionQuery } from './change-answer.ts';
import type { JobRouteParts } from './job-route-parts.ts';
import { listQuery, readListQuery } from './list-query.ts';

export function registerOwnerRoutes(app: TypedApp, { store: { records } }: JobRouteParts): void {
  app.get(
    '/api/owners',
    { schema: { querystring: Type.Object(listQuery), response: { 200: pageOf(Owner) } } },
    (request) => listOwners(records.parts.db, readListQuery(request.query)),
  );

  app.post(
    '/api/owners',
    { schema: { body: OwnerFields, response: { 201: Owner } } },
    async (request, reply) => {
      reply.status(201);
      return records.owners.create(request.body);
    },
  );

  app.get('/api/owners/:id', { schema: { params: IdParams, response: { 200: Owner } } }, async (request) => {
    const owner = await records.owners.get(request.params.id);
    if (owner === null) throw new AnswerError('record-not-found');
    return owner;
  });

  app.put(
    '/api/owners/:id',
    { schema: { params: IdParams, body: changeOf(OwnerFields), response: { 200: Owner } } },
    async (request, reply) => {
      const { revision, fields } = request.body;
      return answerChange(await records.owners.change(request.params.id, revision, fields), reply, fields);
    },
  );

  app.delete(
    '/api/owners/:id',
    { schema: { params: IdParams, querystring: RevisionQuery } },
    async (request, reply) => {
      const revision = Number(request.query.revision);
      return answerChange(await records.owners.remove(request.params.id, revision), reply, null);
    },
  );
}

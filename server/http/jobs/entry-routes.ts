import { changeOf } from '../../contract/jobs.ts';
import { Entry, EntryFields } from '../../contract/jobs-entries.ts';
import type { TypedApp } from '../app-parts.ts';
import { answerChange, IdParams, RevisionQuery } from './change-answer.ts';
import type { JobRouteParts } from './job-route-parts.ts';

export function registerEntryRoutes(app: TypedApp, { store: { records } }: JobRouteParts): void {
  app.post(
    '/api/visits/:id/entries',
    { schema: { params: IdParams, body: EntryFields, response: { 201: Entry } } },
    async (request, reply) => {
      const made = await records.entries.create(request.params.id, request.body);
      if (made.ok) reply.status(201);
      return answerChange(made, reply, request.body);
    },
  );

  app.put(
    '/api/entries/:id',
    { schema: { params: IdParams, body: changeOf(EntryFields), response: { 200: Entry } } },
    async (request, reply) => {
      const { revision, fields } = request.body;
      return answerChange(await records.entries.change(request.params.id, revision, fields), reply, fields);
    },
  );

  app.delete(
    '/api/entries/:id',
    { schema: { params: IdParams, querystring: RevisionQuery } },
    async (request, reply) => {
      const revision = Number(request.query.revision);
      return answerChange(await records.entries.remove(request.params.id, revision), reply, null);
    },
  );
}

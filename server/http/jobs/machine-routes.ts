import Type from 'typebox';
import { changeOf, Machine, MachineFields } from '../../contract/jobs.ts';
import { Id } from '../../contract/jobs-values.ts';
import { MachineRow, pageOf } from '../../contract/jobs-views.ts';
import { listMachines } from '../../jobs/machine-list.ts';
import type { TypedApp } from '../app-parts.ts';
import { AnswerError } from '../error-answer.ts';
import { answerChange, IdParams, RevisionQuery } from './change-answer.ts';
import type { JobRouteParts } from './job-route-parts.ts';
import { listQuery, readListQuery } from './list-query.ts';

const MachineQuery = Type.Object({ ...listQuery, ownerId: Type.Optional(Id) });

export function registerMachineRoutes(app: TypedApp, { store: { records } }: JobRouteParts): void {
  app.get(
    '/api/machines',
    { schema: { querystring: MachineQuery, response: { 200: pageOf(MachineRow) } } },
    (request) => {
      const { ownerId } = request.query;
      const question = { ...readListQuery(request.query), ...(ownerId === undefined ? {} : { ownerId }) };
      return listMachines(records.parts.db, question);
    },
  );

  app.post(
    '/api/machines',
    { schema: { body: MachineFields, response: { 201: Machine } } },
    async (request, reply) => {
      const made = await records.machines.create(request.body);
      if (made.ok) reply.status(201);
      return answerChange(made, reply, request.body);
    },
  );

  app.get(
    '/api/machines/:id',
    { schema: { params: IdParams, response: { 200: Machine } } },
    async (request) => {
      const machine = await records.machines.get(request.params.id);
      if (machine === null) throw new AnswerError('record-not-found');
      return machine;
    },
  );

  app.put(
    '/api/machines/:id',
    { schema: { params: IdParams, body: changeOf(MachineFields), response: { 200: Machine } } },
    async (request, reply) => {
      const { revision, fields } = request.body;
      return answerChange(await records.machines.change(request.params.id, revision, fields), reply, fields);
    },
  );

  app.delete(
    '/api/machines/:id',
    { schema: { params: IdParams, querystring: RevisionQuery } },
    async (request, reply) => {
      const revision = Number(request.query.revision);
      return answerChange(await records.machines.remove(request.params.id, revision), reply, null);
    },
  );
}

import Type, { type Static } from 'typebox';
import { changeOf, Visit, VisitFields, VisitStart, type VisitState } from '../../contract/jobs.ts';
import { Day, Id, Line } from '../../contract/jobs-values.ts';
import { Comparison, Job, pageOf, VisitRow } from '../../contract/jobs-views.ts';
import { VISIT_STATES } from '../../contract/visit-states.ts';
import { comparisonCsv } from '../../jobs/comparison-csv.ts';
import { makeReport } from '../../jobs/report/make-report.ts';
import { visitComparison } from '../../jobs/visit-comparison.ts';
import { visitCsv } from '../../jobs/visit-csv.ts';
import { listVisits, type VisitQuestion } from '../../jobs/visit-list.ts';
import type { TypedApp } from '../app-parts.ts';
import { AnswerError } from '../error-answer.ts';
import { answerChange, IdParams, RevisionQuery } from './change-answer.ts';
import type { JobRouteParts } from './job-route-parts.ts';
import { listQuery, readListQuery } from './list-query.ts';
import { reportPolicy } from './report-policy.ts';
import { startedStream } from './started-stream.ts';

const VisitQuery = Type.Object({
  ...listQuery,
  /** One state, or several with commas between. */
  state: Type.Optional(
    Type.String({ pattern: `^(${VISIT_STATES.join('|')})(,(${VISIT_STATES.join('|')}))*$` }),
  ),
  machineId: Type.Optional(Id),
  ownerId: Type.Optional(Id),
  technician: Type.Optional(Line),
  fromDay: Type.Optional(Day),
  toDay: Type.Optional(Day),
  dueBy: Type.Optional(Day),
  sort: Type.Optional(
    Type.Union([
      Type.Literal('newest'),
      Type.Literal('oldest'),
      Type.Literal('changed'),
      Type.Literal('machine'),
      Type.Literal('owner'),
      Type.Literal('state'),
    ]),
  ),
});
const PairQuery = Type.Object({ before: Type.Optional(Id), after: Type.Optional(Id) });
const ReportQuery = Type.Object({
  before: Type.Optional(Id),
  after: Type.Optional(Id),
  paper: Type.Optional(Type.Union([Type.Literal('A4'), Type.Literal('letter')])),
});
const CaptureParams = Type.Object({ id: Id, captureId: Id });

export function registerVisitRoutes(app: TypedApp, parts: JobRouteParts): void {
  const { store, softwareVersion, wallMs } = parts;
  const { records } = store;
  const { captures } = records;

  app.get(
    '/api/visits',
    { schema: { querystring: VisitQuery, response: { 200: pageOf(VisitRow) } } },
    (request) => listVisits(records.parts.db, visitQuestion(request.query)),
  );

  app.get('/api/visits.csv', { schema: { querystring: VisitQuery } }, async (request, reply) => {
    const pieces = await startedStream(visitCsv(records, visitQuestion(request.query)));
    return reply
      .type('text/csv; charset=utf-8')
      .header('content-disposition', 'attachment; filename="jobs.csv"')
      .send(pieces);
  });

  app.post(
    '/api/visits',
    { schema: { body: VisitStart, response: { 201: Visit } } },
    async (request, reply) => {
      const made = await records.visits.create(request.body);
      if (made.ok) reply.status(201);
      return answerChange(made, reply, request.body);
    },
  );

  app.get('/api/visits/:id', { schema: { params: IdParams, response: { 200: Job } } }, async (request) => {
    const job = await records.job(request.params.id);
    if (job === null) throw new AnswerError('record-not-found');
    return job;
  });

  app.put(
    '/api/visits/:id',
    { schema: { params: IdParams, body: changeOf(VisitFields), response: { 200: Visit } } },
    async (request, reply) => {
      const { revision, fields } = request.body;
      return answerChange(await records.visits.change(request.params.id, revision, fields), reply, fields);
    },
  );

  app.delete(
    '/api/visits/:id',
    { schema: { params: IdParams, querystring: RevisionQuery } },
    async (request, reply) => {
      const revision = Number(request.query.revision);
      return answerChange(await records.visits.remove(request.params.id, revision), reply, null);
    },
  );

  app.put('/api/visits/:id/captures/:captureId', { schema: { params: CaptureParams } }, async (request) => {
    const { id, captureId } = request.params;
    const visit = await records.visits.get(id);
    if (visit === null) throw new AnswerError('record-not-found');
    const capture = await captures.get(captureId);
    if (capture === null) throw new AnswerError('capture-not-found');
    if (capture.practice && !visit.practice) throw new AnswerError('practice-kept-apart');
    return captures.setVisit(captureId, id);
  });

  app.delete(
    '/api/visits/:id/captures/:captureId',
    { schema: { params: CaptureParams } },
    async (request) => {
      const { id, captureId } = request.params;
      if ((await captures.header(captureId))?.visitId !== id) throw new AnswerError('capture-not-found');
      return captures.setVisit(captureId, null);
    },
  );

  app.get(
    '/api/visits/:id/comparison',
    { schema: { params: IdParams, querystring: PairQuery, response: { 200: Comparison } } },
    async (request) => {
      if ((await records.visits.get(request.params.id)) === null) throw new AnswerError('record-not-found');
      const comparison = await visitComparison(captures, request.params.id, given(request.query));
      if (comparison === null) throw new AnswerError('comparison-needs-captures');
      const { beforeFigures: _before, afterFigures: _after, ...answer } = comparison;
      return { ...answer, cylinders: [...answer.cylinders] };
    },
  );

  app.get(
    '/api/visits/:id/figures.csv',
    { schema: { params: IdParams, querystring: PairQuery } },
    async (request, reply) => {
      const job = await records.job(request.params.id);
      if (job === null) throw new AnswerError('record-not-found');
      const comparison = await visitComparison(captures, job.visit.id, given(request.query));
      if (comparison === null) throw new AnswerError('comparison-needs-captures');
      const { pressureUnit } = await records.shop.get();
      return reply
        .type('text/csv; charset=utf-8')
        .header('content-disposition', `attachment; filename="job-${job.visit.day}-figures.csv"`)
        .send(comparisonCsv(job, comparison, pressureUnit));
    },
  );

  app.get(
    '/api/visits/:id/report',
    { schema: { params: IdParams, querystring: ReportQuery } },
    async (request, reply) => {
      const visitId = request.params.id;
      const { paper, ...pair } = request.query;
      const comparison = await visitComparison(captures, visitId, given(pair));
      const page = await makeReport(records, {
        visitId,
        comparison,
        checkResults: await records.checks.listForVisit(visitId),
        printedAtMs: wallMs(),
        softwareVersion,
        ...(paper === undefined ? {} : { paper }),
      });
      if (page === null) throw new AnswerError('record-not-found');
      return reply
        .type('text/html; charset=utf-8')
        .header('cache-control', 'no-store')
        .header('content-security-policy', reportPolicy(page))
        .send(page);
    },
  );
}

function visitQuestion(query: Static<typeof VisitQuery>): VisitQuestion {
  const { state, q: _q, practice: _practice, offset: _offset, limit: _limit, ...rest } = query;
  return {
    ...rest,
    ...readListQuery(query),
    ...(state === undefined ? {} : { states: state.split(',') as VisitState[] }),
  };
}

const given = ({ before, after }: { before?: string | undefined; after?: string | undefined }) => ({
  ...(before === undefined ? {} : { before }),
  ...(after === undefined ? {} : { after }),
});

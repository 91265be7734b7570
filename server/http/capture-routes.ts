import { Readable } from 'node:stream';
import Type from 'typebox';
import { CaptureStart } from '../contract/http.ts';
import { CaptureSummary, RecomputedCapture } from '../contract/live.ts';
import type { AppParts, TypedApp } from './app-parts.ts';
import { captureCsv } from './capture-csv.ts';
import { AnswerError } from './error-answer.ts';
import { recompute } from './recompute.ts';

const Params = Type.Object({
  id: Type.String({ minLength: 1, maxLength: 64 }),
});

export function registerCaptureRoutes(
  app: TypedApp,
  { session, store, jobCaptures, visit, facts }: AppParts,
): void {
  app.get(
    '/api/captures',
    { schema: { response: { 200: Type.Array(CaptureSummary) } } },
    () => session.captures,
  );

  app.post(
    '/api/captures',
    { schema: { body: CaptureStart, response: { 201: CaptureSummary } } },
    async (request, reply) => {
      const { benchVisitId } = session.setup;
      const job = benchVisitId == null ? null : await visit(benchVisitId);
      // What the practice engine did is evidence of no real job, nor the other way round.
      const visitId = job !== null && job.practice === session.practice ? benchVisitId : null;
      const started = session.startCapture(request.body.label, visitId);
      if (!started.ok) throw new AnswerError(started.code, started.detail);
      reply.status(201);
      return started.value;
    },
  );

  app.post(
    '/api/captures/:id/stop',
    { schema: { params: Params, response: { 200: CaptureSummary } } },
    (request) => {
      const stopped = session.stopCapture(request.params.id);
      if (!stopped.ok) throw new AnswerError(stopped.code, stopped.detail);
      return stopped.value;
    },
  );

  app.get(
    '/api/captures/:id/recomputed',
    { schema: { params: Params, response: { 200: RecomputedCapture } } },
    async (request) => {
      const recomputed = await recompute(store, request.params.id, facts.softwareVersion);
      if (recomputed === null) throw new AnswerError('capture-not-found');
      return recomputed;
    },
  );

  app.get('/api/captures/:id/samples.csv', { schema: { params: Params } }, async (request, reply) => {
    const { id } = request.params;
    const from = store.get(id) === null && jobCaptures !== undefined ? jobCaptures : store;
    const header = await from.header(id);
    if (header === null) throw new AnswerError('capture-not-found');
    return reply
      .type('text/csv; charset=utf-8')
      .header('content-disposition', `attachment; filename="capture-${id.replace(/[^\w-]/g, '')}.csv"`)
      .send(Readable.from(captureCsv(header, from.chunks(id))));
  });
}

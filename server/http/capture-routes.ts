import { Readable } from 'node:stream';
import Type from 'typebox';
import { CaptureSummary, RecomputedCapture } from '../contract/captures.ts';
import { CaptureStart } from '../contract/http.ts';
import { answerOutcome } from './answer-outcome.ts';
import type { AppParts, TypedApp } from './app-parts.ts';
import { benchJob } from './bench-job.ts';
import { captureCsv } from './capture-csv.ts';
import { AnswerError } from './error-answer.ts';
import { recompute } from './recompute.ts';

const Params = Type.Object({
  id: Type.String({ minLength: 1, maxLength: 64 }),
});

export function registerCaptureRoutes(app: TypedApp, parts: AppParts): void {
  const { session, store, jobCaptures, facts } = parts;
  app.get(
    '/api/captures',
    { schema: { response: { 200: Type.Array(CaptureSummary) } } },
    () => session.captures,
  );

  app.post(
    '/api/captures',
    { schema: { body: CaptureStart, response: { 201: CaptureSummary } } },
    async (request, reply) => {
      const started = answerOutcome(session.startCapture(request.body.label, await benchJob(parts)));
      reply.status(201);
      return started;
    },
  );

  app.post(
    '/api/captures/:id/stop',
    { schema: { params: Params, response: { 200: CaptureSummary } } },
    (request) => answerOutcome(session.stopCapture(request.params.id)),
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

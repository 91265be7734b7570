import { CapturePlan } from '../contract/live.ts';
import type { AppParts, TypedApp } from './app-parts.ts';
import { AnswerError } from './error-answer.ts';

/** Captures that start and end by themselves. */
export function registerPlannedCaptureRoutes(app: TypedApp, { session, visit }: AppParts): void {
  app.post(
    '/api/captures/planned',
    { schema: { body: CapturePlan, response: { 202: CapturePlan } } },
    async (request, reply) => {
      const { benchVisitId } = session.setup;
      const job = benchVisitId == null ? null : await visit(benchVisitId);
      // What the practice engine did is evidence of no real job, nor the other way round.
      const visitId = job !== null && job.practice === session.practice ? benchVisitId : null;
      const planned = session.planCapture(request.body, visitId);
      if (!planned.ok) throw new AnswerError(planned.code, planned.detail);
      reply.status(202);
      return planned.value;
    },
  );

  app.delete('/api/captures/planned', (_request, reply) => {
    session.dropPlan();
    return reply.status(204).send();
  });
}

import { CapturePlan } from '../contract/captures.ts';
import { answerOutcome } from './answer-outcome.ts';
import type { AppParts, TypedApp } from './app-parts.ts';
import { benchJob } from './bench-job.ts';

/** Captures that start and end by themselves. */
export function registerPlannedCaptureRoutes(app: TypedApp, parts: AppParts): void {
  const { session } = parts;
  app.post(
    '/api/captures/planned',
    { schema: { body: CapturePlan, response: { 202: CapturePlan } } },
    async (request, reply) => {
      const planned = answerOutcome(session.planCapture(request.body, await benchJob(parts)));
      reply.status(202);
      return planned;
    },
  );

  app.delete('/api/captures/planned', (_request, reply) => {
    session.dropPlan();
    return reply.status(204).send();
  });
}

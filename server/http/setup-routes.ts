import { SetupPatch } from '../contract/http.ts';
import { Setup } from '../contract/setup.ts';
import { answerOutcome } from './answer-outcome.ts';
import type { AppParts, TypedApp } from './app-parts.ts';
import { AnswerError } from './error-answer.ts';

export function registerSetupRoutes(app: TypedApp, { session, visit }: AppParts): void {
  app.get('/api/setup', { schema: { response: { 200: Setup } } }, () => session.setup);

  app.patch('/api/setup', { schema: { body: SetupPatch, response: { 200: Setup } } }, async (request) => {
    const { benchVisitId } = request.body;
    if (benchVisitId != null && (await visit(benchVisitId)) === null)
      throw new AnswerError('record-not-found');
    return answerOutcome(session.changeSetup(request.body));
  });
}

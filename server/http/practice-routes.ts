import { PracticePatch, PracticeState } from '../contract/practice.ts';
import { answerOutcome } from './answer-outcome.ts';
import type { AppParts, TypedApp } from './app-parts.ts';
import { AnswerError } from './error-answer.ts';

export function registerPracticeRoutes(app: TypedApp, { session, practice }: AppParts): void {
  const active = () => {
    if (practice === null || !session.source.practice) throw new AnswerError('practice-not-active');
    return practice;
  };

  app.get('/api/practice', { schema: { response: { 200: PracticeState } } }, () => active().state());

  app.patch(
    '/api/practice',
    { schema: { body: PracticePatch, response: { 200: PracticeState } } },
    (request) => answerOutcome(active().change(request.body)),
  );

  app.post('/api/practice/blip', (_request, reply) => {
    active().blip();
    return reply.status(204).send();
  });
}

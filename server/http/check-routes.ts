import {
  CheckEvent,
  CheckGuide,
  CheckResults,
  CheckResultsQuery,
  CheckStart,
  CheckState,
} from '../contract/checks.ts';
import type { CheckResultStore } from '../jobs/check-result-store.ts';
import type { CheckDesk } from '../session/checks/check-desk.ts';
import { checkGuide } from '../session/checks/check-guide.ts';
import type { Outcome } from '../session/measuring-parts.ts';
import type { TypedApp } from './app-parts.ts';
import { AnswerError } from './error-answer.ts';

const response = { 200: CheckState };

/** Guided checks: the screen asks for the state while one runs. */
export function registerCheckRoutes(app: TypedApp, desk: CheckDesk, store: CheckResultStore): void {
  app.get('/api/checks', { schema: { response: { 200: CheckGuide } } }, () => checkGuide());

  app.get('/api/checks/current', { schema: { response } }, () => desk.state());

  app.post('/api/checks/current', { schema: { body: CheckStart, response } }, async (request) =>
    answer(await desk.start(request.body)),
  );

  app.post('/api/checks/current/events', { schema: { body: CheckEvent, response } }, (request) =>
    answer(desk.happen(request.body)),
  );

  app.post('/api/checks/current/finish', { schema: { response } }, () => answer(desk.finish()));

  app.delete('/api/checks/current', { schema: { response } }, () => desk.discard());

  app.get(
    '/api/checks/results',
    { schema: { querystring: CheckResultsQuery, response: { 200: CheckResults } } },
    (request) => store.list(request.query),
  );
}

function answer<T>(outcome: Outcome<T>): T {
  if (!outcome.ok) throw new AnswerError(outcome.code, outcome.detail);
  return outcome.value;
}

import {
  CheckEvent,
  CheckGuide,
  CheckResults,
  CheckResultsQuery,
  CheckStart,
  CheckState,
} from '../contract/checks.ts';
import type { CheckResultStore } from '../jobs/check-result-store.ts';
import type { JobChecks } from '../jobs/job-checks.ts';
import type { CheckDesk } from '../session/checks/check-desk.ts';
import { checkGuide } from '../session/checks/check-guide.ts';
import { answerOutcome } from './answer-outcome.ts';
import type { TypedApp } from './app-parts.ts';

const response = { 200: CheckState };

export interface CheckRouteParts {
  readonly desk: CheckDesk;
  /** Those found on this bench. */
  readonly store: CheckResultStore;
  /** Those of the job record, which several benches may share. */
  readonly jobs: JobChecks;
}

/** Guided checks: the screen asks for the state while one runs. */
export function registerCheckRoutes(app: TypedApp, { desk, store, jobs }: CheckRouteParts): void {
  app.get('/api/checks', { schema: { response: { 200: CheckGuide } } }, () => checkGuide());

  app.get('/api/checks/current', { schema: { response } }, () => desk.state());

  app.post('/api/checks/current', { schema: { body: CheckStart, response } }, async (request) =>
    answerOutcome(await desk.start(request.body)),
  );

  app.post('/api/checks/current/events', { schema: { body: CheckEvent, response } }, (request) =>
    answerOutcome(desk.happen(request.body)),
  );

  app.post('/api/checks/current/finish', { schema: { response } }, () => answerOutcome(desk.finish()));

  app.delete('/api/checks/current', { schema: { response } }, () => desk.discard());

  app.get(
    '/api/checks/results',
    { schema: { querystring: CheckResultsQuery, response: { 200: CheckResults } } },
    async ({ query: { visitId, kind } }) => {
      if (visitId === undefined) return store.list(kind === undefined ? {} : { kind });
      const ofVisit = await jobs.listForVisit(visitId);
      return kind === undefined ? ofVisit : ofVisit.filter((result) => result.kind === kind);
    },
  );
}

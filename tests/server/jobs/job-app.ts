import type { TypeBoxTypeProvider } from '@fastify/type-provider-typebox';
import Fastify from 'fastify';
import { systemClock } from '../../../server/clock.ts';
import type { TypedApp } from '../../../server/http/app-parts.ts';
import { answerError } from '../../../server/http/error-answer.ts';
import { registerJobRoutes } from '../../../server/http/jobs/register-job-routes.ts';
import { storeBackups } from '../../../server/jobs/backup/store-backups.ts';
import type { Store } from '../../../server/jobs/open-store.ts';

/** The routes of the job record alone, under the same rules for bodies as in the whole service. */
export async function jobApp(store: Store): Promise<TypedApp> {
  const app: TypedApp = Fastify({
    bodyLimit: 256 * 1024,
    ajv: { customOptions: { removeAdditional: false, coerceTypes: false } },
  }).withTypeProvider<TypeBoxTypeProvider>();
  app.setErrorHandler(answerError);
  const wallMs = () => 1_717_150_000_000;
  const backups = storeBackups(store, {
    clock: { ...systemClock, wallMs },
    softwareVersion: '0.1.0',
    log: () => {},
  });
  await registerJobRoutes(app, { store, backups, softwareVersion: '0.1.0', wallMs });
  return app;
}

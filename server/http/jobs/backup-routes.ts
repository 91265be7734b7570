import { BackupState } from '../../contract/jobs-views.ts';
import type { TypedApp } from '../app-parts.ts';
import { AnswerError } from '../error-answer.ts';
import type { JobRouteParts } from './job-route-parts.ts';

export function registerBackupRoutes(app: TypedApp, { backups }: JobRouteParts): void {
  app.get('/api/records/backups', { schema: { response: { 200: BackupState } } }, () => backups.state());

  app.post(
    '/api/records/backups',
    { schema: { response: { 201: BackupState } } },
    async (_request, reply) => {
      const made = await backups.run();
      if (made === null) throw new AnswerError('backup-not-set-up');
      if (!made.ok) throw new AnswerError('backup-failed', made.detail);
      reply.status(201);
      return backups.state();
    },
  );
}

import { Readable } from 'node:stream';
import { ImportReport } from '../../contract/jobs-views.ts';
import { exportDocument } from '../../jobs/transfer/export-document.ts';
import { DocumentProblem } from '../../jobs/transfer/read-document.ts';
import { spoolImport } from '../../jobs/transfer/spool-import.ts';
import type { TypedApp } from '../app-parts.ts';
import { AnswerError } from '../error-answer.ts';
import { IdParams } from './change-answer.ts';
import type { JobRouteParts } from './job-route-parts.ts';
import { startedStream } from './started-stream.ts';

/** In a scope of its own: only here a JSON body comes as a stream, for it can be larger than memory. */
export function registerTransferRoutes(app: TypedApp, parts: JobRouteParts): void {
  const { store, softwareVersion, wallMs } = parts;
  const document = (visitId: string | null) =>
    startedStream(exportDocument(store.openMoment, { visitId, exportedAtMs: wallMs(), softwareVersion }));

  app.get('/api/records/export', async (_request, reply) => {
    const pieces = await document(null);
    return reply
      .type('application/json; charset=utf-8')
      .header('content-disposition', `attachment; filename="${fileName('records', wallMs())}"`)
      .send(pieces);
  });

  app.get('/api/visits/:id/export', { schema: { params: IdParams } }, async (request, reply) => {
    const { id } = request.params;
    if ((await store.records.visits.get(id)) === null) throw new AnswerError('record-not-found');
    const pieces = await document(id);
    return reply
      .type('application/json; charset=utf-8')
      .header('content-disposition', `attachment; filename="${fileName(`job-${id}`, wallMs())}"`)
      .send(pieces);
  });

  app.removeContentTypeParser('application/json');
  app.addContentTypeParser('application/json', (_request, payload, done) => done(null, payload));

  app.post('/api/records/import', { schema: { response: { 200: ImportReport } } }, async (request) => {
    if (!(request.body instanceof Readable)) throw new AnswerError('import-unreadable');
    try {
      return await spoolImport(store, store.records.parts.newId(), request.body);
    } catch (error) {
      if (error instanceof DocumentProblem) throw new AnswerError(error.code, error.message);
      throw error;
    }
  });
}

const fileName = (what: string, atMs: number): string =>
  `idlewright-${what}-${new Date(atMs).toISOString().slice(0, 10)}.json`;

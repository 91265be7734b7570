import Type from 'typebox';
import { Photo } from '../../contract/jobs.ts';
import { MAX_PHOTO_BYTES } from '../../jobs/photo-store.ts';
import type { TypedApp } from '../app-parts.ts';
import { AnswerError, sendError } from '../error-answer.ts';
import { answerJobError } from './answer-job-error.ts';
import type { JobRouteParts } from './job-route-parts.ts';

const PHOTO_TYPES = ['image/jpeg', 'image/png', 'image/webp', 'application/octet-stream'];
const PhotoParams = Type.Object({ id: Type.String({ pattern: '^[0-9a-f]{64}$' }) });

/** In a scope of its own: only here a body may be a picture. */
export function registerPhotoRoutes(app: TypedApp, { store: { records } }: JobRouteParts): void {
  app.addContentTypeParser(
    PHOTO_TYPES,
    { parseAs: 'buffer', bodyLimit: MAX_PHOTO_BYTES },
    (_request, body, done) => done(null, body),
  );

  app.post(
    '/api/photos',
    {
      schema: { response: { 201: Photo } },
      bodyLimit: MAX_PHOTO_BYTES,
      errorHandler: (error, request, reply) =>
        error.statusCode === 413
          ? sendError(reply, 'photo-too-large')
          : answerJobError(error, request, reply),
    },
    async (request, reply) => {
      if (!Buffer.isBuffer(request.body)) throw new AnswerError('photo-unreadable');
      const kept = await records.photos.keep(request.body);
      if (!kept.ok)
        throw new AnswerError(kept.reason === 'too-large' ? 'photo-too-large' : 'photo-unreadable');
      reply.status(201);
      return kept.photo;
    },
  );

  app.get('/api/photos/:id', { schema: { params: PhotoParams } }, async (request, reply) => {
    const photo = await records.photos.get(request.params.id);
    const bytes = photo === null ? null : await records.photos.bytes(photo.id);
    if (photo === null || bytes === null) throw new AnswerError('record-not-found');
    return (
      reply
        .type(photo.type)
        .header('x-content-type-options', 'nosniff')
        // Opened by itself it may do nothing but be a picture.
        .header('content-security-policy', "default-src 'none'; sandbox")
        // The name is the hash of the bytes: what is there never changes.
        .header('cache-control', 'private, max-age=31536000, immutable')
        .send(bytes)
    );
  });
}

import type { FastifyRequest } from 'fastify';
import type { TypedApp } from './app-parts.ts';

/** For a body to be read [ms]: a photo of 12 MB at 200 kB/s. */
export const BODY_TIMEOUT_MS = 60_000;

const IMPORT_ROUTE = '/api/records/import';

/**
 * Cuts off a client that sends its body drop by drop. An import is left out: it may be gigabytes, and has only the
 * server's limit for a whole request.
 */
export function limitBodyTime(app: TypedApp, timeoutMs = BODY_TIMEOUT_MS): void {
  const timers = new WeakMap<FastifyRequest, ReturnType<typeof setTimeout>>();
  const stop = async (request: FastifyRequest) => clearTimeout(timers.get(request));
  app.addHook('onRequest', async (request) => {
    const { headers, routeOptions, raw } = request;
    const hasBody = headers['content-length'] !== undefined || headers['transfer-encoding'] !== undefined;
    if (!hasBody || routeOptions.url === IMPORT_ROUTE) return;
    timers.set(
      request,
      setTimeout(() => raw.socket.destroy(), timeoutMs),
    );
  });
  app.addHook('preValidation', stop);
  app.addHook('onResponse', stop);
  app.addHook('onRequestAbort', stop);
}

import fastifyHelmet from '@fastify/helmet';
import fastifyStatic from '@fastify/static';
import type { TypeBoxTypeProvider } from '@fastify/type-provider-typebox';
import fastifyWebsocket from '@fastify/websocket';
import Fastify from 'fastify';
import type { WebSocket } from 'ws';
import { registerAccessRoutes } from './access/access-routes.ts';
import { LOOPBACK_DOOR } from './access/door.ts';
import { guardRequests } from './access/guard-requests.ts';
import { registerApiRoutes } from './api/api-routes.ts';
import { listRoutes } from './api/route-list.ts';
import type { AppParts, TypedApp } from './app-parts.ts';
import { limitBodyTime } from './body-time.ts';
import { registerCaptureRoutes } from './capture-routes.ts';
import { answerError, sendError } from './error-answer.ts';
import { registerHealthRoutes } from './health-routes.ts';
import { MAX_INCOMING_BYTES, registerLiveRoute } from './live-route.ts';
import { makeServer } from './make-server.ts';
import { registerPlannedCaptureRoutes } from './planned-capture-routes.ts';
import { registerPracticeRoutes } from './practice-routes.ts';
import { registerSetupRoutes } from './setup-routes.ts';

/** Room for a set-up or a job entry; routes that take photos say so themselves. */
export const BODY_LIMIT_BYTES = 256 * 1024;

/** WebSocket close code of RFC 6455 for a server that goes down. */
const GOING_AWAY = 1001;
/** How long a screen has to answer the goodbye. */
const GOODBYE_MS = 200;

/** The whole HTTP and WebSocket service, ready to be listened with or injected into. */
export async function buildApp(parts: AppParts): Promise<TypedApp> {
  const door = parts.door ?? LOOPBACK_DOOR;
  const app: TypedApp = Fastify({
    serverFactory: (listener) => makeServer(door, listener),
    bodyLimit: BODY_LIMIT_BYTES,
    forceCloseConnections: true,
    // An address that cannot be read at all: nothing is looked up for it, and the answer has the form of all others.
    frameworkErrors: (_error, _request, reply) => sendError(reply, 'bad-request'),
    ...(parts.logger === undefined ? { logger: false } : { loggerInstance: parts.logger }),
    ajv: { customOptions: { removeAdditional: false, coerceTypes: false } },
  }).withTypeProvider<TypeBoxTypeProvider>();

  // Pages of other sites can send plain text without asking first; nothing here takes any.
  app.removeContentTypeParser('text/plain');
  app.setErrorHandler(answerError);
  await app.register(fastifyHelmet, {
    contentSecurityPolicy: {
      useDefaults: false,
      directives: {
        defaultSrc: ["'self'"],
        scriptSrc: ["'self'"],
        styleSrc: ["'self'"],
        imgSrc: ["'self'", 'data:', 'blob:'],
        connectSrc: ["'self'"],
        objectSrc: ["'none'"],
        baseUri: ["'none'"],
        frameAncestors: ["'none'"],
        formAction: ["'self'"],
      },
    },
    strictTransportSecurity: false,
    crossOriginResourcePolicy: { policy: 'same-origin' },
  });
  await app.register(fastifyWebsocket, {
    options: { maxPayload: MAX_INCOMING_BYTES, perMessageDeflate: false },
    preClose: (done) => {
      sayGoodbye(app.websocketServer.clients);
      app.websocketServer.close();
      done();
    },
  });
  // After the WebSocket plugin: it ends the connection of an upgrade that is answered with a refusal.
  guardRequests(app, door, parts.hosts);
  limitBodyTime(app);
  const routes = listRoutes(app);

  registerAccessRoutes(app, door);
  registerHealthRoutes(app, parts);
  registerApiRoutes(app, routes, parts.facts.softwareVersion);
  registerSetupRoutes(app, parts);
  registerCaptureRoutes(app, parts);
  registerPlannedCaptureRoutes(app, parts);
  registerPracticeRoutes(app, parts);
  await app.register(async (scope) => registerLiveRoute(scope as TypedApp, parts));
  for (const register of parts.moreRoutes ?? []) await register(app);

  if (parts.clientFolder !== null) {
    await app.register(fastifyStatic, {
      root: parts.clientFolder,
      cacheControl: false,
      // The guide has a folder of its own.
      redirect: true,
    });
  }
  app.setNotFoundHandler((request, reply) => {
    const wantsPage =
      parts.clientFolder !== null &&
      request.method === 'GET' &&
      !request.url.startsWith('/api/') &&
      (request.headers.accept ?? '').includes('text/html');
    // The screens have addresses of their own inside one page.
    return wantsPage ? reply.sendFile('index.html') : sendError(reply, 'not-found');
  });
  return app;
}

/** An open screen is told and then cut off: it must not hold up the shutdown. */
function sayGoodbye(clients: ReadonlySet<WebSocket>): void {
  const leaving = [...clients];
  for (const client of leaving) client.close(GOING_AWAY);
  setTimeout(() => {
    for (const client of leaving) client.terminate();
  }, GOODBYE_MS);
}

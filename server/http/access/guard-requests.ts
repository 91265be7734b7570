import type { FastifyReply, FastifyRequest } from 'fastify';
import type { Role } from '../../contract/access.ts';
import type { ErrorCode } from '../../error-catalogue.ts';
import type { HostRule } from '../allowed-hosts.ts';
import type { TypedApp } from '../app-parts.ts';
import { sendError } from '../error-answer.ts';
import { askerOf, rememberAsker, whoAsks } from './asker.ts';
import type { Door } from './door.ts';
import { mayDo, roleNeeded } from './route-roles.ts';

const SAFE_METHODS: ReadonlySet<string> = new Set(['GET', 'HEAD', 'OPTIONS']);

/**
 * Every request, before anything of its body is read: only pages of our own, asked for under a name that is let in, by a
 * device that may do what it asks for.
 */
export function guardRequests(app: TypedApp, door: Door, hosts: HostRule): void {
  app.addHook('onRequest', async (request, reply) => {
    const refusal = refusalOf(request, door, hosts);
    if (refusal !== null) {
      // A body that is still to come is not waited for.
      reply.header('connection', 'close');
      return sendError(reply, refusal);
    }
    if (door.kind === 'network') followDevice(door, request, reply);
  });
  app.addHook('onSend', async (request, reply) => {
    // A device that is shown out must find nothing in its browser's store.
    if (request.url.startsWith('/api/') && !reply.hasHeader('cache-control')) {
      reply.header('cache-control', 'no-store');
    }
  });
}

function refusalOf(request: FastifyRequest, door: Door, hosts: HostRule): ErrorCode | null {
  const { host, origin, upgrade } = request.headers;
  if (!hosts.allowsHost(host, request.socket.localAddress)) return 'host-not-allowed';
  const changes = !SAFE_METHODS.has(request.method) || upgrade !== undefined;
  if (changes && !hosts.allowsOrigin(origin, host)) return 'origin-not-allowed';
  if (comesFromElsewhere(request)) return 'origin-not-allowed';
  const asker = whoAsks(door, request);
  rememberAsker(request, asker);
  const { role } = asker;
  const needed = roleNeeded(request.method, request.routeOptions.url);
  return mayDo(role, needed) ? null : refusalFor(role, needed);
}

/**
 * A picture, script or frame of another site's page, as browsers say themselves (W3C Fetch Metadata). A link from there
 * may be followed: what is read then, only the person sees.
 */
function comesFromElsewhere({ headers }: FastifyRequest): boolean {
  const site = headers['sec-fetch-site'];
  if (site === undefined || site === 'same-origin' || site === 'none') return false;
  return headers['sec-fetch-mode'] !== 'navigate' || headers['sec-fetch-dest'] !== 'document';
}

function refusalFor(role: Role, needed: Role): ErrorCode {
  if (needed === 'instrument') return 'only-on-instrument';
  return role === 'none' ? 'device-not-let-in' : 'view-only-device';
}

/** While an answer is on its way, or a live connection stands, the device's removal cuts it. */
function followDevice(door: Door & { kind: 'network' }, request: FastifyRequest, reply: FastifyReply): void {
  const device = askerOf(request)?.device;
  if (device === undefined || device === null) return;
  const { socket } = request.raw;
  const gone = door.desk.connected(device.id, () => socket.destroy());
  if (request.headers.upgrade === undefined) reply.raw.once('close', gone);
  else socket.once('close', gone);
}

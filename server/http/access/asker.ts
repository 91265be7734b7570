import type { FastifyRequest } from 'fastify';
import type { Device } from '../../access/device-list.ts';
import type { Role } from '../../contract/access.ts';
import { tokenOf } from './device-cookie.ts';
import type { Door } from './door.ts';

/** Who sent a request. */
export interface Asker {
  readonly role: Role;
  /** null for the instrument's own screen and for strangers. */
  readonly device: Device | null;
}

const INSTRUMENT: Asker = { role: 'instrument', device: null };
const STRANGER: Asker = { role: 'none', device: null };

export function whoAsks(door: Door, request: FastifyRequest): Asker {
  if (door.kind === 'instrument') return INSTRUMENT;
  const token = tokenOf(request.headers.cookie, door.tls !== null);
  const device = token === null ? null : door.desk.deviceWith(token);
  return device === null ? STRANGER : { role: device.role, device };
}

const known = new WeakMap<FastifyRequest, Asker>();

/** For the routes: who sent this, as the guard found. */
export function rememberAsker(request: FastifyRequest, asker: Asker): void {
  known.set(request, asker);
}

/** null where no guard stands before the routes. */
export function askerOf(request: FastifyRequest): Asker | null {
  return known.get(request) ?? null;
}

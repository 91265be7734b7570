/** What a device must be allowed to, to be answered. */
import type { Role } from '../../contract/access.ts';

/** Each role may do what those before it may. */
const RISING: readonly Role[] = ['none', 'view', 'operate', 'instrument'];

/**
 * The routes that differ from the rule: reading is for every device that was let in, everything else for those that may
 * operate. A route that is not here falls under the rule, so a new one is never open by oversight.
 */
export const ROUTE_ROLES: Readonly<Record<string, Role>> = {
  // The pages themselves hold nothing of the shop's, and a device needs them to hand in its code.
  'GET /*': 'none',
  'GET /api/access/me': 'none',
  'POST /api/access/let-in': 'none',
  // Who is let in is decided where the engine is.
  'GET /api/access': 'instrument',
  'POST /api/access/offer': 'instrument',
  'DELETE /api/access/offer': 'instrument',
  'DELETE /api/access/devices/:id': 'instrument',
  // The whole record in one file.
  'GET /api/records/export': 'operate',
};

/** @param url the route's own address with its parameters, or undefined where no route fits */
export function roleNeeded(method: string, url: string | undefined): Role {
  // Nothing is there: the answer is 'not found', or the page with the screens.
  if (url === undefined) return 'none';
  const reads = method === 'GET' || method === 'HEAD';
  return ROUTE_ROLES[`${method === 'HEAD' ? 'GET' : method} ${url}`] ?? (reads ? 'view' : 'operate');
}

export function mayDo(role: Role, needed: Role): boolean {
  return RISING.indexOf(role) >= RISING.indexOf(needed);
}

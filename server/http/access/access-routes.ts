import Type from 'typebox';
import { countedAddress } from '../../access/own-network.ts';
import { AccessState, LetIn, Me, OfferStart } from '../../contract/access.ts';
import type { TypedApp } from '../app-parts.ts';
import { AnswerError } from '../error-answer.ts';
import { askerOf } from './asker.ts';
import { deviceCookie, tokenOf } from './device-cookie.ts';
import type { Door } from './door.ts';

const DeviceParams = Type.Object({ id: Type.String({ minLength: 1, maxLength: 64 }) });
/** Room for a code and a name. */
export const LET_IN_BODY_BYTES = 1024;

const REFUSALS = {
  'not-accepted': 'code-not-accepted',
  'locked-out': 'too-many-tries',
  'too-many-devices': 'too-many-devices',
} as const;

/** Letting devices in: the code is made and shown at one door and handed in at the other. */
export function registerAccessRoutes(app: TypedApp, door: Door): void {
  app.get('/api/access/me', { schema: { response: { 200: Me } } }, (request, reply) => {
    const asker = askerOf(request);
    if (asker !== null && asker.device !== null && door.kind === 'network') {
      // The cookie's life starts anew, so that a device that is used stays.
      const token = tokenOf(request.headers.cookie, door.tls !== null);
      if (token !== null) reply.header('set-cookie', deviceCookie(token, door.tls !== null));
    }
    return { role: asker?.role ?? 'none' };
  });
  if (door.kind === 'network') registerLetIn(app, door);
  else registerDesk(app, door);
}

function registerLetIn(app: TypedApp, door: Door & { kind: 'network' }): void {
  app.post(
    '/api/access/let-in',
    { bodyLimit: LET_IN_BODY_BYTES, schema: { body: LetIn, response: { 200: Me } } },
    (request, reply) => {
      const { code, name } = request.body;
      const address = request.raw.socket.remoteAddress ?? '';
      const answer = door.desk.letIn(code, name, countedAddress(address));
      if (!answer.ok) {
        // Nobody can fill the log with tries: who is locked out is not written down each time.
        const level = answer.reason === 'locked-out' ? 'debug' : 'warn';
        request.log[level]({ address, reason: answer.reason }, 'a device was not let in');
        throw new AnswerError(REFUSALS[answer.reason]);
      }
      request.log.info({ address, role: answer.role }, 'a device was let in');
      reply.header('set-cookie', deviceCookie(answer.token, door.tls !== null));
      return { role: answer.role };
    },
  );
}

function registerDesk(app: TypedApp, door: Door & { kind: 'instrument' }): void {
  const open = () => {
    if (door.desk === null) throw new AnswerError('lan-not-open');
    return door.desk;
  };
  const state = (): AccessState =>
    door.desk === null
      ? { lan: null, offer: null, lastOffer: null, devices: [] }
      : door.desk.state(door.lan());
  const answer = { response: { 200: AccessState } };

  app.get('/api/access', { schema: answer }, state);

  app.post('/api/access/offer', { schema: { body: OfferStart, ...answer } }, (request) => {
    open().offer(request.body.role);
    return state();
  });

  app.delete('/api/access/offer', { schema: answer }, () => {
    open().withdraw();
    return state();
  });

  app.delete('/api/access/devices/:id', { schema: { params: DeviceParams, ...answer } }, (request) => {
    if (!open().remove(request.params.id)) throw new AnswerError('device-not-found');
    return state();
  });
}

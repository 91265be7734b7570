import { createHash, randomBytes, randomInt, randomUUID } from 'node:crypto';
import { CODE_DIGITS } from '../contract/access.ts';
import type { AccessSecrets } from './access-desk.ts';

const TOKEN_BYTES = 32;

/** From the operating system's generator for keys. A token has 256 bits, so one round of SHA-256 hides it well. */
export const systemSecrets: AccessSecrets = {
  newCode: () => String(randomInt(10 ** CODE_DIGITS)).padStart(CODE_DIGITS, '0'),
  newToken: () => randomBytes(TOKEN_BYTES).toString('base64url'),
  newId: () => randomUUID(),
  hashOf: (token) => createHash('sha256').update(token).digest('hex'),
};

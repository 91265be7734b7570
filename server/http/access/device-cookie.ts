import { UNSEEN_LIFE_MS } from '../../access/device-list.ts';

/** The prefix binds a cookie to this host and to TLS (RFC 6265bis, 4.1.3.2); without TLS there is no such thing. */
const SECURE_NAME = '__Host-idlewright-device';
const PLAIN_NAME = 'idlewright-device';
const TOKEN = /^[\w-]{43}$/;

/** Scripts cannot read it, pages of other sites cannot make a browser send it. */
export function deviceCookie(token: string, secure: boolean): string {
  const life = `Max-Age=${Math.floor(UNSEEN_LIFE_MS / 1000)}`;
  const cookie = `${nameOf(secure)}=${token}; Path=/; ${life}; HttpOnly; SameSite=Strict`;
  return secure ? `${cookie}; Secure` : cookie;
}

/** @param header the Cookie header. @returns null where there is no token in it that could be one of ours */
export function tokenOf(header: string | undefined, secure: boolean): string | null {
  for (const pair of header?.split(';') ?? []) {
    const [name, value] = pair.trim().split('=', 2);
    if (name === nameOf(secure) && value !== undefined && TOKEN.test(value)) return value;
  }
  return null;
}

const nameOf = (secure: boolean): string => (secure ? SECURE_NAME : PLAIN_NAME);

import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { connect, type TLSSocket } from 'node:tls';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { until } from '../server/board/scripted-board.ts';
import { RunningService } from '../server/running-service.ts';
import { AttackedService, type BareConnection, json, LiveTry } from './attacked-service.ts';

let attacked: AttackedService;
let certificate = '';
let silent: BareConnection;
beforeAll(async () => {
  attacked = await AttackedService.start(['--tls']);
  silent = await attacked.bare();
  certificate = readFileSync(join(attacked.folder, 'access', 'tls-certificate.pem'), 'utf8');
});
afterAll(() => attacked.stop());

function handshake(options: object): Promise<{ fingerprint: string; protocol: string | null } | string> {
  return new Promise((resolve) => {
    const socket: TLSSocket = connect({ host: '127.0.0.1', port: attacked.networkPort, ...options }, () => {
      resolve({ fingerprint: socket.getPeerCertificate().fingerprint256, protocol: socket.getProtocol() });
      socket.destroy();
    });
    socket.on('error', (error: NodeJS.ErrnoException) => resolve(error.code ?? error.message));
  });
}

describe('the door to the network with --tls', () => {
  test('shows the certificate whose fingerprint the program prints and the instrument shows', async () => {
    const printed = /^certificate SHA-256 ([0-9A-F:]+)$/m.exec(attacked.service.stdout)?.[1];
    expect(printed).toMatch(/^([0-9A-F]{2}:){31}[0-9A-F]{2}$/);
    expect(await handshake({ ca: certificate })).toMatchObject({ fingerprint: printed });
    expect((await attacked.access()).lan?.fingerprint).toBe(printed);
    expect((await attacked.access()).lan?.addresses.every((url) => url.startsWith('https://'))).toBe(true);
  });

  test('is not taken by a client that does not know the certificate', async () => {
    expect(await handshake({})).toMatch(/SELF_SIGNED/);
  });

  test('speaks TLS 1.2 and later only', async () => {
    expect(await handshake({ ca: certificate, minVersion: 'TLSv1', maxVersion: 'TLSv1.1' })).toMatch(
      /SSL|TLS|ECONNRESET/,
    );
    expect(await handshake({ ca: certificate, maxVersion: 'TLSv1.2' })).toMatchObject({
      protocol: 'TLSv1.2',
    });
    expect(await handshake({ ca: certificate })).toMatchObject({ protocol: 'TLSv1.3' });
  });

  test('answers nothing that is not encrypted', async () => {
    const bare = await attacked.bare();
    bare.socket.write(`GET / HTTP/1.1\r\nHost: 127.0.0.1:${attacked.networkPort}\r\n\r\n`);
    await new Promise((closed) => (bare.closed ? closed(null) : bare.socket.once('close', closed)));
    expect(bare.received).not.toContain('HTTP/1.1 200');
  });

  test('gives a cookie that no plain connection carries, and lets its bearer in, live too', async () => {
    const code = await attacked.code('view');
    const answer = await attacked.network('/api/access/let-in', {
      ...json({ code, name: 'Tablet' }),
      certificate,
    });
    const set = answer.headers['set-cookie']![0]!;
    expect(set).toMatch(
      /^__Host-idlewright-device=[\w-]{43}; Path=\/; Max-Age=\d+; HttpOnly; SameSite=Strict; Secure$/,
    );
    const cookie = set.split(';')[0]!;
    expect((await attacked.network('/api/setup', { headers: { cookie }, certificate })).status).toBe(200);
    expect((await attacked.network('/api/setup', { certificate })).status).toBe(401);
    const url = `wss://127.0.0.1:${attacked.networkPort}/live`;
    const live = new LiveTry(
      url,
      { cookie, origin: `https://127.0.0.1:${attacked.networkPort}` },
      { ca: certificate },
    );
    expect(await live.decided()).toBe(101);
    live.socket.terminate();
    const plainPage = new LiveTry(
      url,
      { cookie, origin: `http://127.0.0.1:${attacked.networkPort}` },
      { ca: certificate },
    );
    expect(await plainPage.decided()).toBe(403);
  });

  test('does not wait for a handshake that never comes', async () => {
    await until('cut off', () => silent.closed, 60_000);
    expect(silent.received).toBe('');
  });

  test('leaves the instrument’s own door as it was', async () => {
    expect((await attacked.instrument('/api/access/me')).body).toContain('instrument');
  });

  test('takes a certificate of the person’s own; a key that does not fit ends the start in one sentence', async () => {
    const [cert, key] = ['tls-certificate.pem', 'tls-key.pem'].map((name) =>
      join(attacked.folder, 'access', name),
    );
    const own = await AttackedService.start(['--tls-cert', cert!, '--tls-key', key!]);
    try {
      expect((await own.network('/api/access/me', { certificate })).status).toBe(200);
    } finally {
      await own.stop();
    }
    const refused = RunningService.run([
      '--source',
      'practice',
      '--port',
      '0',
      '--data',
      join(own.folder, 'x'),
      '--lan',
      '--tls-cert',
      cert!,
      '--tls-key',
      cert!,
    ]);
    expect(await refused).toMatchObject({ status: 2, stdout: '' });
    expect((await refused).stderr).toMatch(/^idlewright: The certificate cannot be used: .*\.\n$/);
  });
});

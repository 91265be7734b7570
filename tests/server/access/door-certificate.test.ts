import { X509Certificate } from 'node:crypto';
import { statSync, writeFileSync } from 'node:fs';
import { createServer, get } from 'node:https';
import type { AddressInfo } from 'node:net';
import { join } from 'node:path';
import type { TLSSocket } from 'node:tls';
import { describe, expect, test } from 'vitest';
import {
  CERTIFICATE_LIFE_MS,
  givenCertificate,
  ownCertificate,
  RENEW_BEFORE_MS,
} from '../../../server/access/door-certificate.ts';
import { temporaryFolder } from '../jobs/temporary-folder.ts';

const NOW_MS = Date.now();
const DAY_MS = 24 * 3_600_000;

describe('the certificate that the program makes', () => {
  test('is good for the addresses of this computer, for a server alone, and for less than 825 days', async () => {
    const made = await ownCertificate(temporaryFolder(), ['192.0.2.2', 'fd00::2'], NOW_MS);
    const certificate = new X509Certificate(made.certificate);
    for (const address of ['192.0.2.2', 'fd00::2', '127.0.0.1', '::1']) {
      expect(certificate.checkIP(address), address).not.toBeUndefined();
    }
    expect(certificate.checkIP('192.0.2.3')).toBeUndefined();
    expect(certificate.checkHost('localhost')).toBe('localhost');
    expect(certificate.ca).toBe(false);
    expect(certificate.verify(certificate.publicKey)).toBe(true);
    expect(certificate.fingerprint256).toBe(made.fingerprint);
    const [fromMs, toMs] = [Date.parse(certificate.validFrom), Date.parse(certificate.validTo)];
    expect(fromMs).toBeLessThan(NOW_MS);
    expect(toMs).toBeGreaterThan(NOW_MS + 365 * DAY_MS);
    expect(toMs - fromMs).toBeLessThan(825 * DAY_MS);
  });

  test('stays the same over restarts, so that its fingerprint does, and is renewed before it ends', async () => {
    const folder = temporaryFolder();
    const first = await ownCertificate(folder, [], NOW_MS);
    expect(await ownCertificate(folder, [], NOW_MS + DAY_MS)).toEqual(first);
    const late = NOW_MS + CERTIFICATE_LIFE_MS - RENEW_BEFORE_MS;
    const renewed = await ownCertificate(folder, [], late);
    expect(renewed.fingerprint).not.toBe(first.fingerprint);
    expect(Date.parse(new X509Certificate(renewed.certificate).validTo)).toBeGreaterThan(late + 365 * DAY_MS);
  });

  test('its key is for the person alone', async () => {
    const folder = temporaryFolder();
    await ownCertificate(folder, [], NOW_MS);
    expect(statSync(join(folder, 'tls-key.pem')).mode & 0o777).toBe(0o600);
  });

  test('a kept one that is damaged or has another key is replaced', async () => {
    const folder = temporaryFolder();
    const first = await ownCertificate(folder, [], NOW_MS);
    const other = await ownCertificate(temporaryFolder(), [], NOW_MS);
    writeFileSync(join(folder, 'tls-key.pem'), other.key);
    const second = await ownCertificate(folder, [], NOW_MS);
    expect(second.fingerprint).not.toBe(first.fingerprint);
    writeFileSync(join(folder, 'tls-certificate.pem'), 'no certificate');
    expect((await ownCertificate(folder, [], NOW_MS)).fingerprint).not.toBe(second.fingerprint);
  });

  test('a client that trusts it gets through, one that does not know it is warned', async () => {
    const { key, certificate, fingerprint } = await ownCertificate(temporaryFolder(), [], NOW_MS);
    const server = createServer({ key, cert: certificate }, (_request, answer) => answer.end('in'));
    await new Promise<void>((ready) => server.listen(0, '127.0.0.1', ready));
    const { port } = server.address() as AddressInfo;
    const seen = (options: object) =>
      new Promise<string>((resolve) => {
        get({ host: '127.0.0.1', port, agent: false, ...options }, (answer) => {
          resolve((answer.socket as TLSSocket).getPeerCertificate().fingerprint256);
          answer.resume();
        }).on('error', (error: NodeJS.ErrnoException) => resolve(error.code ?? 'error'));
      });
    expect(await seen({ ca: certificate })).toBe(fingerprint);
    expect(await seen({})).toMatch(/SELF_SIGNED/);
    server.close();
  });
});

describe('a certificate of the person’s own', () => {
  test('is taken with its key, and refused with another', async () => {
    const [folder, otherFolder] = [temporaryFolder(), temporaryFolder()];
    const made = await ownCertificate(folder, [], NOW_MS);
    await ownCertificate(otherFolder, [], NOW_MS);
    const [certificate, key] = [join(folder, 'tls-certificate.pem'), join(folder, 'tls-key.pem')];
    expect(givenCertificate(certificate, key)).toEqual(made);
    expect(givenCertificate(certificate, join(otherFolder, 'tls-key.pem'))).toBeNull();
    expect(givenCertificate(join(folder, 'missing.pem'), key)).toBeNull();
    expect(givenCertificate(key, certificate)).toBeNull();
  });
});

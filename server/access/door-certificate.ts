/** The certificate of the door to the network: made by the program itself, or the person's own. */
import { X509Certificate } from 'node:crypto';
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { createSecureContext } from 'node:tls';
import { readPrivateFile, writePrivateFile } from './private-files.ts';

const KEY_FILE = 'tls-key.pem';
const CERTIFICATE_FILE = 'tls-certificate.pem';

/** Renewed two years after it was made: browsers on phones take none that is good for longer than 825 days. */
export const CERTIFICATE_LIFE_MS = 730 * 24 * 3_600_000;
/** A new one is made at the first start in its last month. */
export const RENEW_BEFORE_MS = 30 * 24 * 3_600_000;
/** The clock of another device may be behind. */
const BACKDATED_MS = 24 * 3_600_000;

export interface DoorCertificate {
  /** PEM. */
  readonly key: string;
  readonly certificate: string;
  /** SHA-256 of the certificate, as browsers show it: pairs of hexadecimal digits with colons between. */
  readonly fingerprint: string;
}

/**
 * The kept one, so that its fingerprint stays what the person has compared; a new one where there is none that is good.
 * @param addresses of this computer, for the name in the certificate
 * @throws as node:fs does
 */
export async function ownCertificate(
  folder: string,
  addresses: readonly string[],
  wallMs: number,
): Promise<DoorCertificate> {
  const keyPath = join(folder, KEY_FILE);
  const certificatePath = join(folder, CERTIFICATE_FILE);
  const key = readPrivateFile(keyPath);
  const certificate = readPrivateFile(certificatePath);
  if (key !== null && certificate !== null) {
    const kept = usable(key, certificate);
    if (kept !== null && wallMs < validToMs(certificate) - RENEW_BEFORE_MS) return kept;
  }
  const { newCertificate } = await import('./new-certificate.ts');
  const made = await newCertificate({
    addresses,
    fromMs: wallMs - BACKDATED_MS,
    toMs: wallMs - BACKDATED_MS + CERTIFICATE_LIFE_MS,
  });
  writePrivateFile(keyPath, made.key);
  writePrivateFile(certificatePath, made.certificate);
  return withFingerprint(made.key, made.certificate);
}

/** @returns null where the files are no certificate and its key in PEM */
export function givenCertificate(certificatePath: string, keyPath: string): DoorCertificate | null {
  try {
    return usable(readFileSync(keyPath, 'utf8'), readFileSync(certificatePath, 'utf8'));
  } catch {
    return null;
  }
}

function usable(key: string, certificate: string): DoorCertificate | null {
  try {
    // Refuses a key that belongs to another certificate.
    createSecureContext({ key, cert: certificate });
    return withFingerprint(key, certificate);
  } catch {
    return null;
  }
}

function withFingerprint(key: string, certificate: string): DoorCertificate {
  return { key, certificate, fingerprint: new X509Certificate(certificate).fingerprint256 };
}

const validToMs = (certificate: string): number => Date.parse(new X509Certificate(certificate).validTo);

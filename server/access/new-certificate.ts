/** A self-signed certificate (RFC 5280). Apart from the rest because its library is loaded only when one is made. */
import 'reflect-metadata';
import { randomBytes, webcrypto } from 'node:crypto';
import {
  BasicConstraintsExtension,
  ExtendedKeyUsage,
  ExtendedKeyUsageExtension,
  KeyUsageFlags,
  KeyUsagesExtension,
  PemConverter,
  SubjectAlternativeNameExtension,
  X509CertificateGenerator,
} from '@peculiar/x509';

/** RFC 5280, 4.1.2.2: at most 20 octets, and positive. */
const SERIAL_BYTES = 16;
const ALGORITHM = { name: 'ECDSA', namedCurve: 'P-256', hash: 'SHA-256' };

export interface CertificateWish {
  /** IP addresses that it is good for, beside the loopback ones. */
  readonly addresses: readonly string[];
  /** Wall clock [ms since 1970]. */
  readonly fromMs: number;
  readonly toMs: number;
}

/** @returns certificate and private key (PKCS #8) as PEM */
export async function newCertificate(wish: CertificateWish): Promise<{ key: string; certificate: string }> {
  const { subtle } = webcrypto;
  const keys = await subtle.generateKey(ALGORITHM, true, ['sign', 'verify']);
  const serial = randomBytes(SERIAL_BYTES);
  serial[0] = (serial[0]! & 0x7f) | 0x40;
  const names = ['127.0.0.1', '::1', ...wish.addresses];
  const certificate = await X509CertificateGenerator.createSelfSigned({
    serialNumber: serial.toString('hex'),
    name: 'CN=Idlewright on this computer',
    notBefore: new Date(wish.fromMs),
    notAfter: new Date(wish.toMs),
    keys,
    signingAlgorithm: ALGORITHM,
    extensions: [
      new BasicConstraintsExtension(false, undefined, true),
      new KeyUsagesExtension(KeyUsageFlags.digitalSignature, true),
      new ExtendedKeyUsageExtension([ExtendedKeyUsage.serverAuth]),
      new SubjectAlternativeNameExtension([
        ...names.map((value) => ({ type: 'ip' as const, value })),
        { type: 'dns', value: 'localhost' },
      ]),
    ],
  });
  const key = PemConverter.encode(await subtle.exportKey('pkcs8', keys.privateKey), 'PRIVATE KEY');
  return { key: `${key}\n`, certificate: `${certificate.toString('pem')}\n` };
}

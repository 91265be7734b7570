/** What `--lan` adds: the list of devices, the certificate and the door to the network. */
import { networkInterfaces } from 'node:os';
import type { FastifyBaseLogger } from 'fastify';
import { AccessDesk } from './access/access-desk.ts';
import { deviceFile } from './access/device-file.ts';
import { type DoorCertificate, givenCertificate, ownCertificate } from './access/door-certificate.ts';
import { isOnOwnNetwork, reachableAddresses } from './access/own-network.ts';
import { accessFolder } from './access/private-files.ts';
import { systemSecrets } from './access/system-secrets.ts';
import type { Clock } from './clock.ts';
import type { AccessState } from './contract/access.ts';
import type { Door } from './http/access/door.ts';
import { StartError } from './start-error.ts';

export interface NetworkOptions {
  /** 0 takes any free one. */
  readonly port: number;
  /** `own` makes a certificate and keeps it. */
  readonly tls: 'none' | 'own' | { readonly certificateFile: string; readonly keyFile: string };
}

export interface NetworkDoor {
  readonly desk: AccessDesk;
  readonly door: Door;
  readonly protocol: 'http:' | 'https:';
  /** Where other devices find the program, once its port is known. */
  readonly lan: (port: number) => NonNullable<AccessState['lan']>;
}

/** @throws StartError */
export async function openToNetwork(
  options: NetworkOptions,
  parts: { readonly dataFolder: string; readonly clock: Clock; readonly logger: FastifyBaseLogger },
): Promise<NetworkDoor> {
  const { clock, logger } = parts;
  const folder = privateFolder(parts.dataFolder);
  const certificate = await certificateOf(options.tls, folder, clock);
  const desk = new AccessDesk({
    clock,
    secrets: systemSecrets,
    keep: deviceFile(folder, (path) => logger.warn(`${path} cannot be read: no device is let in`)),
    onTrouble: (error) => logger.error({ err: error }, 'the list of devices could not be kept'),
  });
  const protocol = certificate === null ? 'http:' : 'https:';
  return {
    desk,
    protocol,
    door: {
      kind: 'network',
      desk,
      tls: certificate,
      takes(address) {
        const own = isOnOwnNetwork(address, networkInterfaces());
        if (!own) logger.info({ address }, 'a connection from outside the own network was not taken');
        return own;
      },
    },
    lan: (port) => ({
      addresses: reachableAddresses(networkInterfaces()).map(
        (address) => `${protocol}//${address.includes(':') ? `[${address}]` : address}:${port}/`,
      ),
      fingerprint: certificate?.fingerprint ?? null,
    }),
  };
}

function privateFolder(dataFolder: string): string {
  try {
    return accessFolder(dataFolder);
  } catch {
    throw new StartError('access-folder-unwritable', dataFolder);
  }
}

async function certificateOf(
  tls: NetworkOptions['tls'],
  folder: string,
  clock: Clock,
): Promise<DoorCertificate | null> {
  if (tls === 'none') return null;
  if (tls === 'own') {
    try {
      return await ownCertificate(folder, reachableAddresses(networkInterfaces()), clock.wallMs());
    } catch (error) {
      if ((error as NodeJS.ErrnoException).code === undefined) throw error;
      throw new StartError('access-folder-unwritable', folder);
    }
  }
  const given = givenCertificate(tls.certificateFile, tls.keyFile);
  if (given === null) throw new StartError('tls-files-unusable', `${tls.certificateFile}, ${tls.keyFile}`);
  return given;
}

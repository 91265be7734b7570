import type { AddressInfo } from 'node:net';
import type { TypedApp } from './http/app-parts.ts';
import { StartError } from './start-error.ts';

type Hosts = readonly [string, ...string[]];

export const LOOPBACK: Hosts = ['127.0.0.1'];
/** Every address of both families, and of IPv4 alone where the system has no IPv6. */
export const EVERYWHERE: Hosts = ['::', '0.0.0.0'];

/**
 * @param hosts tried in turn where the system does not have an address of that kind
 * @param port 0 for any free one
 * @returns the port that was taken
 * @throws StartError when the port cannot be had
 */
export async function listen(app: TypedApp, hosts: Hosts, port: number): Promise<number> {
  const [host, next, ...rest] = hosts;
  try {
    await app.listen({ host, port });
  } catch (error) {
    const { code } = error as NodeJS.ErrnoException;
    if (code === 'EADDRINUSE') throw new StartError('port-in-use', `port ${port}`);
    if (code === 'EACCES') throw new StartError('port-not-allowed', `port ${port}`);
    if ((code === 'EAFNOSUPPORT' || code === 'EADDRNOTAVAIL') && next !== undefined) {
      return listen(app, [next, ...rest], port);
    }
    throw error;
  }
  return (app.server.address() as AddressInfo).port;
}

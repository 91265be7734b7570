/**
 * Which names a browser may use for this computer. A page from elsewhere can point a name of its own at
 * 127.0.0.1 and would then count as the same site; so the name that was asked for is checked, and the page
 * that a change or a live connection comes from.
 */
import { plainAddress } from '../access/own-network.ts';

const LOOPBACK_NAMES: ReadonlySet<string> = new Set(['localhost', '127.0.0.1', '[::1]']);

export interface HostRule {
  /**
   * @param host the Host header of a request
   * @param localAddress of this computer, that the connection was made to
   */
  allowsHost(host: string | undefined, localAddress?: string): boolean;
  /** @param origin the Origin header; browsers leave it out of plain reads of the same site */
  allowsOrigin(origin: string | undefined, host: string | undefined): boolean;
}

/** At the instrument's own door: the names of the loopback address alone. */
export const LOOPBACK_RULE: HostRule = {
  allowsHost: (host) => host !== undefined && LOOPBACK_NAMES.has(withoutPort(host)),
  allowsOrigin(origin, host) {
    if (origin === undefined) return true;
    if (host === undefined || !URL.canParse(origin)) return false;
    const { protocol, host: originHost } = new URL(origin);
    return (protocol === 'http:' || protocol === 'https:') && originHost === host.toLowerCase();
  },
};

/**
 * At the door to the network: only the very address that the connection was made to. A name could be anyone's, and an
 * address cannot be pointed elsewhere.
 */
export function ownAddressRule(protocol: 'http:' | 'https:'): HostRule {
  return {
    allowsHost(host, localAddress) {
      if (host === undefined || localAddress === undefined) return false;
      return withoutPort(host).replace(/^\[(.*)\]$/, '$1') === plainAddress(localAddress);
    },
    allowsOrigin(origin, host) {
      if (origin === undefined) return true;
      return host !== undefined && origin === `${protocol}//${host.toLowerCase()}`;
    },
  };
}

function withoutPort(host: string): string {
  return host.toLowerCase().replace(/:\d*$/, '');
}

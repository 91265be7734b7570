/** Which networks this computer is on, and who is on them too. Interfaces come as `os.networkInterfaces()` gives them. */
import { BlockList, isIP } from 'node:net';
import type { NetworkInterfaceInfo } from 'node:os';

export type Interfaces = NodeJS.Dict<NetworkInterfaceInfo[]>;

/** An IPv4 address as sockets of both families give it, `::ffff:192.0.2.7`, without its wrapping and zone. */
export function plainAddress(address: string): string {
  return address
    .toLowerCase()
    .replace(/%.*$/, '')
    .replace(/^::ffff:(?=\d+\.\d+\.\d+\.\d+$)/, '');
}

/** Whether the address is in a network that this computer has an interface in, so that no router lies between. */
export function isOnOwnNetwork(address: string, interfaces: Interfaces): boolean {
  const plain = plainAddress(address);
  const family = familyOf(plain);
  if (family === null) return false;
  const networks = new BlockList();
  for (const own of all(interfaces)) {
    const prefix = Number(own.cidr?.split('/')[1]);
    if (Number.isInteger(prefix))
      networks.addSubnet(own.address, prefix, own.family === 'IPv6' ? 'ipv6' : 'ipv4');
  }
  return networks.check(plain, family);
}

/**
 * Addresses under which other devices reach this computer, IPv4 first because it is shorter to type. A link-local
 * IPv6 address needs the name of the other side's interface and cannot be typed into a browser.
 */
export function reachableAddresses(interfaces: Interfaces): string[] {
  return all(interfaces)
    .filter(({ internal, address }) => !internal && !/^(fe[89ab].:|169\.254\.)/i.test(address))
    .sort((one, other) => Number(one.family === 'IPv6') - Number(other.family === 'IPv6'))
    .map(({ address }) => address);
}

/**
 * What wrong tries are counted by: an IPv4 address, or the first half of an IPv6 address, because one device can give
 * itself any number of second halves (RFC 8981).
 */
export function countedAddress(address: string): string {
  const plain = plainAddress(address);
  if (familyOf(plain) !== 'ipv6') return plain;
  const [head = '', tail] = plain.split('::');
  const before = head === '' ? [] : head.split(':');
  const after = tail === undefined || tail === '' ? [] : tail.split(':');
  const zeros = tail === undefined ? 0 : Math.max(0, 8 - before.length - after.length);
  const groups = [...before, ...Array.from({ length: zeros }, () => '0'), ...after];
  return groups
    .slice(0, 4)
    .map((group) => group.replace(/^0+(?=.)/, ''))
    .join(':');
}

function familyOf(address: string): 'ipv4' | 'ipv6' | null {
  const version = isIP(address);
  return version === 0 ? null : version === 4 ? 'ipv4' : 'ipv6';
}

function all(interfaces: Interfaces): NetworkInterfaceInfo[] {
  return Object.values(interfaces).flatMap((list) => list ?? []);
}

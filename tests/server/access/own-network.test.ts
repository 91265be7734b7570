import { describe, expect, test } from 'vitest';
import {
  countedAddress,
  type Interfaces,
  isOnOwnNetwork,
  plainAddress,
  reachableAddresses,
} from '../../../server/access/own-network.ts';

/** As `os.networkInterfaces()` gives them; addresses of RFC 5737, RFC 3849 and RFC 4193. */
const INTERFACES = {
  lo: [face('127.0.0.1', 8, true), face('::1', 128, true)],
  wlan0: [face('fe80::1', 64), face('2001:db8:1::2', 64), face('192.0.2.40', 26), face('169.254.7.7', 16)],
  eth0: [face('198.51.100.3', 24)],
} as Interfaces;

function face(address: string, prefix: number, internal = false) {
  const family = address.includes(':') ? 'IPv6' : 'IPv4';
  return { address, cidr: `${address}/${prefix}`, family, internal, netmask: '', mac: '' };
}

describe('who is on the own network', () => {
  test.each([
    '192.0.2.1',
    '192.0.2.63',
    '::ffff:192.0.2.63',
    '198.51.100.254',
    '2001:db8:1::77',
    'fe80::99%wlan0',
    '127.0.0.1',
    '::1',
  ])('%s is', (address) => {
    expect(isOnOwnNetwork(address, INTERFACES)).toBe(true);
  });

  test.each([
    '192.0.2.64',
    '203.0.113.5',
    '::ffff:203.0.113.5',
    '2001:db8:2::77',
    '8.8.8.8',
    '',
    'example',
    '192.0.2.1.5',
  ])('%s is not', (address) => {
    expect(isOnOwnNetwork(address, INTERFACES)).toBe(false);
  });

  test('addresses to type come IPv4 first, without those that no other device can use', () => {
    expect(reachableAddresses(INTERFACES)).toEqual(['192.0.2.40', '198.51.100.3', '2001:db8:1::2']);
  });

  test('an address is the same however a socket writes it', () => {
    expect(plainAddress('::FFFF:192.0.2.7')).toBe('192.0.2.7');
    expect(plainAddress('fe80::1%eth0')).toBe('fe80::1');
    expect(plainAddress('::ffff:0:1')).toBe('::ffff:0:1');
  });

  test.each([
    ['192.0.2.7', '192.0.2.7'],
    ['::ffff:192.0.2.7', '192.0.2.7'],
    ['2001:db8:1:2:3:4:5:6', '2001:db8:1:2'],
    ['2001:db8:1:2::9', '2001:db8:1:2'],
    ['2001:db8::9', '2001:db8:0:0'],
    ['2001:0db8::9', '2001:db8:0:0'],
    ['fe80::1%eth0', 'fe80:0:0:0'],
    ['::1', '0:0:0:0'],
  ])('wrong tries of %s count for %s', (address, counted) => {
    expect(countedAddress(address)).toBe(counted);
  });
});

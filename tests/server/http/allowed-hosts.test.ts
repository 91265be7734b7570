import { describe, expect, test } from 'vitest';
import { ownAddressRule } from '../../../server/http/allowed-hosts.ts';

describe('at the door to the network', () => {
  const rule = ownAddressRule('http:');

  test.each([
    ['192.0.2.2:4351', '192.0.2.2'],
    ['192.0.2.2', '::ffff:192.0.2.2'],
    ['[fd00::2]:4351', 'fd00::2'],
    ['[FD00::2]', 'fd00::2'],
  ])('%s is the address of a connection to %s', (host, localAddress) => {
    expect(rule.allowsHost(host, localAddress)).toBe(true);
  });

  test.each([
    ['192.0.2.3:4351', '192.0.2.2'],
    ['localhost:4351', '127.0.0.1'],
    ['192.0.2.2.elsewhere.example', '192.0.2.2'],
    ['3221225986', '192.0.2.2'],
    ['0xc0000202', '192.0.2.2'],
    ['192.0.2.2@elsewhere.example', '192.0.2.2'],
    ['192.0.2.2:4351:4351', '192.0.2.2'],
    ['[fd00::2', 'fd00::2'],
    ['', '192.0.2.2'],
    [undefined, '192.0.2.2'],
    ['192.0.2.2', undefined],
  ])('%s is not the address of a connection to %s', (host, localAddress) => {
    expect(rule.allowsHost(host, localAddress)).toBe(false);
  });

  test('a page comes from there only by the same protocol, address and port', () => {
    const host = '192.0.2.2:4351';
    expect(rule.allowsOrigin(`http://${host}`, host)).toBe(true);
    expect(rule.allowsOrigin(undefined, host)).toBe(true);
    for (const origin of [
      'https://192.0.2.2:4351',
      'http://192.0.2.2',
      'http://192.0.2.2:4350',
      'null',
      '',
    ]) {
      expect(rule.allowsOrigin(origin, host), origin).toBe(false);
    }
    expect(ownAddressRule('https:').allowsOrigin(`http://${host}`, host)).toBe(false);
    expect(ownAddressRule('https:').allowsOrigin(`https://${host}`, host)).toBe(true);
  });
});

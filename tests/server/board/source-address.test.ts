import { describe, expect, test } from 'vitest';
import { formatSourceAddress, parseSourceAddress } from '../../../server/board/source-address.ts';

describe('source addresses', () => {
  test.each([
    ['auto', { kind: 'auto' }],
    ['practice', { kind: 'practice' }],
    ['serial:/dev/ttyUSB0', { kind: 'serial', path: '/dev/ttyUSB0' }],
    ['serial:COM3', { kind: 'serial', path: 'COM3' }],
    ['tcp:10.0.0.5:3333', { kind: 'tcp', host: '10.0.0.5', port: 3333 }],
    ['tcp:[fe80::1]:3333', { kind: 'tcp', host: 'fe80::1', port: 3333 }],
    ['tcp:bridge.local:23', { kind: 'tcp', host: 'bridge.local', port: 23 }],
    ['replay:C:\\runs\\monday.recording', { kind: 'replay', file: 'C:\\runs\\monday.recording' }],
  ])('%s is read and written back the same', (text, address) => {
    expect(parseSourceAddress(text)).toEqual({ ok: true, address });
    expect(formatSourceAddress(address as never)).toBe(text);
  });

  test.each([
    ['usb', 'names no source'],
    ['', 'names no source'],
    ['Practice', 'names no source'],
    ['serial:', 'serial:/dev/ttyUSB0'],
    ['serial', 'serial:/dev/ttyUSB0'],
    ['replay:', 'needs a file'],
    ['tcp:host', 'needs a host and a port'],
    ['tcp::3333', 'needs a host and a port'],
    ['tcp:fe80::1:3333', 'needs a host and a port'],
    ['tcp:host:0', 'from 1 to 65535'],
    ['tcp:host:65536', 'from 1 to 65535'],
    ['tcp:host:12a', 'needs a host and a port'],
  ])('%s is refused with a sentence that says what to write', (text, part) => {
    const parsed = parseSourceAddress(text);
    expect(parsed).toMatchObject({
      ok: false,
      sentence: expect.stringContaining(part),
    });
  });
});

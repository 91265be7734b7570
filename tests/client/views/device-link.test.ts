import { describe, expect, test } from 'vitest';
import {
  codeInLink,
  codeWords,
  deviceLink,
  deviceNameOf,
  digitsOf,
} from '../../../client/views/devices/device-link.ts';
import { CODE_DIGITS } from '../../../server/contract/access.ts';

describe('the link in the QR code', () => {
  test.each(['http://192.0.2.2:4351/', 'https://[fd00::2]:4351/'])('to %s gives its code back', (address) => {
    const link = deviceLink(address, '012345');
    expect(codeInLink(new URL(link).hash)).toBe('012345');
  });

  test('keeps the code out of what a browser sends', () => {
    const { pathname, search } = new URL(deviceLink('http://192.0.2.2:4351/', '012345'));
    expect(pathname + search).toBe('/');
  });

  test.each(['', '#bench', '#let-in=12345', '#let-in=1234567', '#let-in=abcdef', '#x#let-in=123456'])(
    'holds no code in %j',
    (hash) => {
      expect(codeInLink(hash)).toBe('');
    },
  );
});

test('a code may be typed with spaces and signs, and is as long as the program makes it', () => {
  expect(digitsOf(' 123 - 456 ')).toBe('123456');
  expect(digitsOf('1234567890')).toHaveLength(CODE_DIGITS);
  expect(codeWords('123456').replace(/\s/g, '')).toBe('123456');
});

// User agents as browsers send them, from memory, versions shortened.
test.each([
  ['Mozilla/5.0 (Linux; Android 15; Pixel) AppleWebKit/537 Chrome/130 Mobile Safari/537', 'Phone'],
  ['Mozilla/5.0 (iPhone; CPU iPhone OS 18_0 like Mac OS X) AppleWebKit/605 Mobile/15E Safari/604', 'Phone'],
  ['Mozilla/5.0 (Linux; Android 15; SM) AppleWebKit/537 Chrome/130 Safari/537', 'Tablet'],
  ['Mozilla/5.0 (iPad; CPU OS 12_0 like Mac OS X) AppleWebKit/605 Mobile/15E Safari/604', 'Tablet'],
  ['Mozilla/5.0 (X11; Linux x86_64) AppleWebKit/537 Chrome/130 Safari/537', 'Computer'],
])('%s is called a %s at first', (userAgent, name) => {
  expect(deviceNameOf(userAgent)).toBe(name);
});

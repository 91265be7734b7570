import crcPackage from 'crc';
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { crc16, crc16Hex } from '../../firmware-protocol/crc16.ts';

const SEED = 20_240_501;

describe('checksum of a line', () => {
  test('has the check value of CRC-16/IBM-3740 in the CRC catalogue', () => {
    // https://reveng.sourceforge.io/crc-catalogue/16.htm, check="0x29b1" over ASCII 123456789
    expect(crc16('123456789')).toBe(0x29b1);
    expect(crc16Hex('123456789')).toBe('29B1');
  });

  test('of nothing is the initial value', () => {
    expect(crc16('')).toBe(0xffff);
  });

  test(`agrees with the crc package on any text (seed ${SEED})`, () => {
    // The package calls this CRC 'crc16ccitt'.
    fc.assert(
      fc.property(fc.string({ unit: 'binary-ascii', maxLength: 250 }), (text) => {
        expect(crc16(text)).toBe(crcPackage.crc16ccitt(text));
      }),
      { seed: SEED, numRuns: 500 },
    );
  });

  test('covers only the given part of a text', () => {
    expect(crc16('xx123456789yy', 2, 11)).toBe(0x29b1);
  });

  test('is written with four digits also when the first ones are zero', () => {
    const text = 'N,overflow,12';
    expect(crc16(text)).toBeLessThan(0x1000);
    expect(crc16Hex(text)).toBe(crcPackage.crc16ccitt(text).toString(16).toUpperCase().padStart(4, '0'));
  });
});

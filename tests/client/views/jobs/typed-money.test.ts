import { describe, expect, it } from 'vitest';
import { minorOf } from '../../../../client/views/jobs/typed-money.ts';
import { minorText } from '../../../../server/contract/minor-units.ts';

describe('an amount as typed', () => {
  it('is a whole number of the smallest unit', () => {
    expect(minorOf('12.5', 'EUR')).toBe(1250);
    expect(minorOf('12,50', 'EUR')).toBe(1250);
    expect(minorOf('0.07', 'EUR')).toBe(7);
    expect(minorOf('12', 'EUR')).toBe(1200);
    // 0.1 + 0.2 and 4.35 * 100 are not exact in floating point.
    expect(minorOf('4.35', 'USD')).toBe(435);
    expect(minorOf('1130', 'JPY')).toBe(1130);
    expect(minorOf('1.234', 'KWD')).toBe(1234);
  });

  it('is refused where the currency has no such unit, or it is no amount', () => {
    for (const text of ['12.505', '', 'x', '-3', '1e3', '.5', '1.2.3'])
      expect(minorOf(text, 'EUR')).toBeNull();
    expect(minorOf('12.5', 'JPY')).toBeNull();
  });

  it('comes back as it went in', () => {
    for (const minor of [0, 1, 7, 10, 99, 100, 123456789])
      for (const currency of ['EUR', 'JPY', 'KWD'])
        expect(minorOf(minorText(minor, currency), currency)).toBe(minor);
  });
});

import { describe, expect, test } from 'vitest';
import {
  figureText,
  plusMinusPressure,
  plusMinusText,
  signedPressureText,
  signedText,
} from '../../../client/units/figure-text.ts';
import { pressureUnit } from '../../../client/units/pressure-unit.ts';

describe('figures as text', () => {
  test('what is not known is a dash, never a nought', () => {
    expect(figureText(null, 1)).toBe('–');
    expect(figureText(Number.NaN, 1)).toBe('–');
    expect(signedText(null, 1)).toBe('–');
  });

  test('minus is a minus sign, and nothing is neither more nor less than nothing', () => {
    expect(signedText(-1.26, 1)).toBe('\u22121.3');
    expect(signedText(0.42, 2)).toBe('+0.42');
    expect(signedText(-0.04, 1)).toBe('0.0');
    expect(signedText(0.04, 1)).toBe('0.0');
  });

  test('a pressure is converted before it is rounded', () => {
    expect(signedPressureText(3.386389, 2, pressureUnit('inHg'))).toBe('+1.00');
    expect(signedPressureText(-0.5, 1, pressureUnit('mbar'))).toBe('\u22125.0');
  });

  test('an uncertainty is never rounded down to nothing, for the figure is not exact', () => {
    expect(plusMinusText(0.004, 2)).toBe('±\u20090.01');
    expect(plusMinusText(0.006, 2)).toBe('±\u20090.01');
    expect(plusMinusText(0.26, 2)).toBe('±\u20090.26');
    expect(plusMinusText(0.3, 0)).toBe('±\u20091');
    expect(plusMinusText(0, 2)).toBe('±\u20090.00');
    expect(plusMinusPressure(0.0004, 1, pressureUnit('mbar'))).toBe('±\u20090.1');
  });
});

import { describe, expect, test } from 'vitest';
import { csvCell, csvLine } from '../../../server/jobs/csv-cell.ts';

describe('a cell of CSV', () => {
  // Characters that start a formula: OWASP, 'CSV Injection'.
  test.each(['=1+1', '+1', '-1', '@SUM(A1)', '\t=1', '\r=1', '＝1+1'])(
    '%j cannot become a formula',
    (text) => {
      expect(csvCell(text).replace(/^"/, '').startsWith(`'`)).toBe(true);
    },
  );

  test('is quoted as RFC 4180 says where it must be', () => {
    expect(csvCell('a,b')).toBe('"a,b"');
    expect(csvCell('say "hello"')).toBe('"say ""hello"""');
    expect(csvCell('two\nlines')).toBe('"two\nlines"');
    expect(csvCell(' edge')).toBe('" edge"');
    expect(csvCell('plain')).toBe('plain');
  });

  test('may be a number or empty, and a line ends as RFC 4180 says', () => {
    expect(csvLine([-1.5, null, 'x'])).toBe('-1.5,,x\r\n');
  });
});

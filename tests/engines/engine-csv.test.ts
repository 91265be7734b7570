import { expect, it } from 'vitest';
import { engineCsv } from './engine-csv.ts';

const rows = {
  timeS: Float64Array.of(0, 0.002, 0.004, 0.006),
  kpa: [Float64Array.of(40, 41.5, 42, 43), Float64Array.of(50, 51, 52.25, 53)],
};

it('writes a header, seconds and kilopascals', () => {
  expect(engineCsv(rows)).toBe(
    'time_s,cyl1,cyl2\n0.000000,40.000,50.000\n0.002000,41.500,51.000\n0.004000,42.000,52.250\n0.006000,43.000,53.000\n',
  );
});

it('leaves out the rows of a gap and the cells that were lost', () => {
  const text = engineCsv(rows, { gaps: [{ atS: 0.001, lengthS: 0.004 }], blankShare: 1 });
  expect(text).toBe('time_s,cyl1,cyl2\n0.000000,,\n0.006000,,\n');
});

it('writes a decimal comma between semicolons, and refuses it between commas', () => {
  const text = engineCsv(rows, {
    decimalComma: true,
    separator: ';',
    lineEnd: '\r\n',
    preamble: ['logger 3'],
  });
  expect(text.split('\r\n').slice(0, 3)).toEqual(['logger 3', 'time_s;cyl1;cyl2', '0,000000;40,000;50,000']);
  expect(() => engineCsv(rows, { decimalComma: true })).toThrow('separator');
});

import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { ClearanceFigure } from '../../../server/contract/jobs-values.ts';
import { clearanceVerdict } from '../../../server/jobs/clearance-verdict.ts';

const SEED = 40_016;

// Common practice on a liquid-cooled twin, no source: inlet 0.13-0.18 mm, exhaust 7-9 thou.
const intake: ClearanceFigure = { low: '0.13', high: '0.18', unit: 'mm', source: '' };
const exhaust: ClearanceFigure = { low: '7', high: '9', unit: 'thou', source: '' };

const feeler = (goes: string | null, stops: string | null, unit: 'mm' | 'thou' = 'mm') =>
  ({ how: 'feeler', goes, stops, unit }) as const;
const measured = (value: string, unit: 'mm' | 'thou' = 'mm') => ({ how: 'measured', value, unit }) as const;

describe('a valve clearance', () => {
  test.each([
    ['both limits belong to the specification', measured('0.13'), intake, 'in'],
    ['both limits belong to the specification', measured('0,180'), intake, 'in'],
    ['just below is tight', measured('0.129'), intake, 'tight'],
    ['just above is loose', measured('0.181'), intake, 'loose'],
    // 1 thou = 0.0254 mm exactly: 9 thou = 0.2286 mm.
    ['9 thou in millimetres is in', measured('0.2286'), exhaust, 'in'],
    ['a ten-thousandth above 9 thou is loose', measured('0.2287'), exhaust, 'loose'],
    ['7 thou in millimetres is in', measured('0.1778'), exhaust, 'in'],
    ['a ten-thousandth below 7 thou is tight', measured('0.1777'), exhaust, 'tight'],
    ['a pair inside is in', feeler('0.13', '0.18'), intake, 'in'],
    ['a pair below is tight', feeler('0.10', '0.13'), intake, 'tight'],
    ['a pair that reaches over the lower limit cannot be told', feeler('0.10', '0.15'), intake, 'straddling'],
    ['a pair that reaches over the upper limit cannot be told', feeler('0.15', '0.20'), intake, 'straddling'],
    ['a pair that spans everything cannot be told', feeler('0.05', '0.30'), intake, 'straddling'],
    ['the thickest allowed blade that goes cannot be told', feeler('0.18', '0.20'), intake, 'straddling'],
    ['a thicker blade that goes is loose', feeler('0.20', '0.25'), intake, 'loose'],
    ['one blade that goes and is too thick is loose', feeler('0.20', null), intake, 'loose'],
    ['one blade that goes and is allowed cannot be told', feeler('0.15', null), intake, 'straddling'],
    ['one blade that stops at the lower limit is tight', feeler(null, '0.13'), intake, 'tight'],
    ['one blade that stops above it cannot be told', feeler(null, '0.15'), intake, 'straddling'],
    ['blades in thou against millimetres', feeler('5', '7', 'thou'), intake, 'straddling'],
    ['blades in thou against millimetres', feeler('6', '7', 'thou'), intake, 'in'],
    ['blades the wrong way round', feeler('0.15', '0.13'), intake, 'impossible'],
    ['the same blade going and stopping', feeler('0.15', '0.15'), intake, 'impossible'],
    ['no blade at all', feeler(null, null), intake, 'impossible'],
    ['no specification', measured('0.15'), null, 'no-specification'],
    ['limits the wrong way round', measured('0.15'), { ...intake, low: '0.2' }, 'no-specification'],
  ] as const)('%s', (_title, reading, specification, verdict) => {
    expect(clearanceVerdict(reading, specification)).toBe(verdict);
  });

  test(`a feeler verdict holds for every clearance in its interval (seed ${SEED})`, () => {
    const blade = fc.integer({ min: 1, max: 40 });
    fc.assert(
      fc.property(blade, blade, fc.integer({ min: 0, max: 99 }), (first, second, percent) => {
        fc.pre(first < second);
        const text = (hundredths: number) => (hundredths / 100).toFixed(2);
        const verdict = clearanceVerdict(feeler(text(first), text(second)), intake);
        const within = (first + ((second - first) * percent) / 100) / 100;
        const truth = clearanceVerdict(measured(within.toFixed(6)), intake);
        if (verdict !== 'straddling') expect(verdict).toBe(truth);
      }),
      { seed: SEED, numRuns: 1000 },
    );
  });
});

import { describe, expect, it } from 'vitest';
import { refillEngine } from '../engines/refill-engine.ts';
import { rootMeanSquare } from '../truth/error-tally.ts';
import { naiveAnalyser } from '../truth/naive-analyser.ts';
import { rows } from './accuracy.ts';
import { accuracyRow } from './accuracy-row.ts';
import { tryYin, yinFigures } from './accuracy-yin.ts';

describe('the accuracy table', () => {
  const table = rows(naiveAnalyser, { seed: 9, scale: 0.02 });
  const named = (part: string) => table.find((row) => row.what.includes(part))!;

  it('has a row for every promise, each with a bound, a reference and a case to make again', () => {
    expect(table.map((row) => row.what.split(',')[0])).toEqual([
      'cycle mean at idle',
      'cycle mean at idle',
      'bias of the cycle mean at idle',
      'engine speed',
      'cycles more than 20 % from the true length (octaves',
      'missed pulses at known places',
      'intervals (k = 2) of the mean that hold the long-run truth',
      'intervals (k = 2) of the gap that hold the long-run truth',
      'response to a turned screw (3 kPa): gap within 10 % of its new value',
      'residual pulsation: times less than a first-order damper of the same 90 % response time',
      'a 1 kPa step is flagged as moving',
      'false flags in five minutes of steady idle',
    ]);
    for (const row of table) {
      expect(row.cases).toBeGreaterThanOrEqual(3);
      expect(row.bound).not.toBe('');
      expect(row.reference).not.toBe('');
      expect(row.worst).not.toBe('none');
      expect(row.figure.min).toBeLessThanOrEqual(row.figure.median);
      expect(row.figure.median).toBeLessThanOrEqual(row.figure.max);
    }
  });

  it('fails a naive instrument in speed, response, pulsation and steadiness', () => {
    expect(named('engine speed').holds).toBe(false);
    expect(named('response').holds).toBe(false);
    expect(named('residual pulsation').holds).toBe(false);
    expect(named('false flags').holds).toBe(false);
    expect(named('true cycle from the same start').holds).toBe(false);
  });
});

it('a row with a case that gave no figure does not hold, and says so', () => {
  const judged = { pooled: 0, bound: '<= 1', holds: true, reference: 'none needed' };
  const figures = [
    { label: 'a', value: 0.5 },
    { label: 'b', value: Number.NaN },
  ];
  expect(accuracyRow('x', 'kPa', figures.slice(0, 1), judged).holds).toBe(true);
  const row = accuracyRow('x', 'kPa', figures, judged);
  expect(row.holds).toBe(false);
  expect(row.reference).toContain('1 cases gave no figure');
  expect(row.worst).toBe('a');
});

it('YIN, as the package has it, finds the speed of a plain engine to about one percent', () => {
  const yin = yinFigures();
  const recording = refillEngine({
    seed: 2,
    durationS: 6,
    sampleRateHz: 1000,
    intakeAnglesDeg: [0, 360],
    rpm: 1100,
  });
  tryYin(yin, recording, 0);
  expect(yin.windows).toBe(5);
  expect(yin.harmonics).toBe(0);
  expect(rootMeanSquare(yin.percent)).toBeLessThan(1);
});

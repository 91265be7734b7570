import { expect, it } from 'vitest';
import { holm } from '../../../../server/signal/leak/holm.ts';
import { seededRandom } from '../../../engines/seeded-random.ts';

it('gives the adjusted values of the textbook example', () => {
  // R's p.adjust(c(0.01, 0.02, 0.03, 0.04, 0.05), 'holm') is 0.05 0.08 0.09 0.09 0.09; the definition gives it by hand.
  const adjusted = holm([0.01, 0.02, 0.03, 0.04, 0.05]);
  [0.05, 0.08, 0.09, 0.09, 0.09].forEach((value, at) => {
    expect(adjusted[at]).toBeCloseTo(value, 12);
  });
  expect(holm([0.01, 0.04, 0.03])).toEqual([0.03, 0.06, 0.06]);
  expect(holm([])).toEqual([]);
});

it('keeps the order of the values given, never lowers one, and never passes 1', () => {
  const random = seededRandom(4, 4);
  for (let round = 0; round < 200; round++) {
    const given = Array.from({ length: 1 + random.index(12) }, () => random.uniform());
    const adjusted = holm(given);
    adjusted.forEach((value, at) => {
      expect(value).toBeGreaterThanOrEqual(given[at]!);
      expect(value).toBeLessThanOrEqual(1);
      given.forEach((other, i) => {
        if (other < given[at]!) expect(adjusted[i]).toBeLessThanOrEqual(value);
      });
    });
  }
});

it.each([undefined, [8, 1, 1, 1, 1]])(
  'makes a false alarm anywhere in 5 of 100 families at most, weights %j',
  (weights) => {
    const random = seededRandom(9, 9);
    let alarms = 0;
    const families = 4000;
    for (let i = 0; i < families; i++)
      if (
        holm(
          Array.from({ length: 5 }, () => random.uniform()),
          weights,
        ).some((p) => p < 0.05)
      )
        alarms++;
    // 1 - (1 - 0.05/5)^5 = 4.9 % of independent families at equal weights; four standard deviations are 1.4 %.
    expect(alarms / families).toBeGreaterThan(0.035);
    expect(alarms / families).toBeLessThan(0.063);
  },
);

it('corrects a test with more weight less, and refuses weights that do not fit', () => {
  const [heavy, light] = holm([0.01, 0.01], [3, 1]);
  expect(heavy).toBeCloseTo(0.01333, 5);
  expect(light).toBeGreaterThanOrEqual(heavy!);
  expect(() => holm([0.1], [1, 2])).toThrow('positive weight');
  expect(() => holm([0.1], [0])).toThrow('positive weight');
});

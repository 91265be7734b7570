import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { minorDigits, minorText, moneyText } from '../../../server/contract/minor-units.ts';
import { costsOf } from '../../../server/jobs/money.ts';

const SEED = 771_190;

const line = (quantity: string, unitPriceMinor: number, taxPercent: string) => ({
  entryId: `${quantity}x${unitPriceMinor}`,
  quantity,
  unitPriceMinor,
  taxPercent,
});
const rule = { currency: 'EUR', taxOn: 'total', pricesIncludeTax: false } as const;

describe('money', () => {
  test.each([
    // ISO 4217, table A.1: minor units, from memory.
    ['EUR', 2],
    ['JPY', 0],
    ['KWD', 3],
    ['CHF', 2],
  ])('%s has %i digits after the point', (currency, digits) => {
    expect(minorDigits(currency)).toBe(digits);
  });

  test.each([
    [123_456, 'EUR', 'en', '€1,234.56'],
    [5, 'EUR', 'en', '€0.05'],
    [-1005, 'EUR', 'en', '-€10.05'],
    [1234, 'JPY', 'en', '¥1,234'],
    [1234, 'KWD', 'en', 'KWD\u00a01.234'],
    [9_007_199_254_740_991, 'EUR', 'en', '€90,071,992,547,409.91'],
  ])('%i of %s is written in full', (minor, currency, locale, text) => {
    expect(moneyText(minor, currency, locale)).toBe(text);
  });

  test.each([
    [1250, 'EUR', '12.50'],
    [-5, 'USD', '-0.05'],
    [1234, 'JPY', '1234'],
    [1234, 'KWD', '1.234'],
    // Divided by 100 in floating point this is …09.92.
    [9_007_199_254_740_991, 'EUR', '90071992547409.91'],
  ])('%i of %s is %s for a spreadsheet', (minor, currency, text) => {
    expect(minorText(minor, currency)).toBe(text);
  });

  test('of what is no currency is shown with two digits and its name', () => {
    expect(moneyText(1250, 'no currency', 'en')).toBe('12.50 no currency');
  });

  test('halves are rounded away from zero: 0.5 cent is one cent', () => {
    expect(costsOf([line('0.5', 1, '0')], rule).netMinor).toBe(1);
    expect(costsOf([line('0,333', 100, '0')], rule).netMinor).toBe(33);
    // 1.005 x 100 is 100.49999999999999 in floating point.
    expect(costsOf([line('1.005', 100, '0')], rule).netMinor).toBe(101);
  });

  test('tax on the line and tax on the total differ by their rounding', () => {
    const lines = [line('1', 105, '10'), line('1', 105, '10'), line('1', 105, '10')];
    expect(costsOf(lines, { ...rule, taxOn: 'line' }).taxMinor).toBe(33);
    expect(costsOf(lines, rule).taxMinor).toBe(32);
  });

  test('prices that include tax have it taken out', () => {
    const costs = costsOf([line('1', 11_900, '19')], { ...rule, pricesIncludeTax: true });
    expect(costs).toMatchObject({ netMinor: 10_000, taxMinor: 1900, grossMinor: 11_900 });
  });

  test('two rates are told apart, the same rate written in two ways is one', () => {
    const costs = costsOf([line('1', 1000, '7,70'), line('1', 1000, '7.7'), line('1', 100, '2.5')], rule);
    expect(costs.taxes).toEqual([
      { percent: '2.5', netMinor: 100, taxMinor: 3 },
      { percent: '7,70', netMinor: 2000, taxMinor: 154 },
    ]);
  });

  test(`net and tax always add up, and lines to the total (seed ${SEED})`, () => {
    const lines = fc.array(
      fc.record({
        entryId: fc.string(),
        quantity: fc.integer({ min: 0, max: 99_999 }).map((n) => (n / 1000).toFixed(3)),
        unitPriceMinor: fc.integer({ min: 0, max: 10_000_000 }),
        taxPercent: fc.constantFrom('0', '7', '19', '8.1', '5,5'),
      }),
      { maxLength: 20 },
    );
    fc.assert(
      fc.property(lines, fc.constantFrom('line', 'total'), fc.boolean(), (all, taxOn, pricesIncludeTax) => {
        const costs = costsOf(all, { currency: 'EUR', taxOn: taxOn as 'line' | 'total', pricesIncludeTax });
        const sum = (values: (number | null)[]) =>
          values.reduce<number>((total, value) => total + (value ?? 0), 0);
        expect(costs.grossMinor).toBe(costs.netMinor + costs.taxMinor);
        expect(costs.taxMinor).toBe(sum(costs.taxes.map((tax) => tax.taxMinor)));
        const side = pricesIncludeTax ? 'grossMinor' : 'netMinor';
        expect(sum(costs.lines.map((each) => each[side]))).toBe(costs[side]);
        // Each rounding is off by at most half a unit.
        const exact = all.map((each) => Number(each.quantity) * each.unitPriceMinor);
        expect(Math.abs(costs[side] - sum(exact))).toBeLessThanOrEqual(0.5 * all.length + 1e-3);
      }),
      { seed: SEED },
    );
  });

  test('what is no number is refused as a mistake of the caller', () => {
    expect(() => costsOf([line('x', 1, '0')], rule)).toThrow('no quantity');
    expect(() => costsOf([line('1', 1.5, '0')], rule)).toThrow('no price');
    expect(() => costsOf([line('1', 1, '1.00001')], rule)).toThrow('no tax rate');
  });
});

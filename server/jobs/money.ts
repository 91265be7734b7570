/**
 * Money in whole smallest units of its currency, never in floating point. Amounts are rounded half away from
 * zero, as tills do.
 */
import type { TaxOn } from '../contract/jobs.ts';
import type { Costs } from '../contract/jobs-views.ts';
import { parseDecimal, roundedQuotient, tenTo } from './exact-decimal.ts';

export interface PricedLine {
  readonly entryId: string;
  /** Pieces, hours or litres, as typed. */
  readonly quantity: string;
  readonly unitPriceMinor: number;
  /** As typed, '7.7' is 7.7 %. */
  readonly taxPercent: string;
}

export interface PricingRule {
  readonly currency: string;
  readonly taxOn: TaxOn;
  readonly pricesIncludeTax: boolean;
}

/**
 * Lines and totals. With tax on the line each line's tax is rounded and summed; with tax on the total it is
 * rounded once per rate, and lines carry none of their own. Prices that include tax have it taken out.
 * @throws RangeError for a quantity, price or rate that is no number, or a sum beyond the exact range of a double
 */
export function costsOf(lines: readonly PricedLine[], rule: PricingRule): Costs {
  const perLine = lines.map((line) => ({ line, amount: amountMinor(line), rate: taxRate(line.taxPercent) }));
  const rates = new Map<string, { percent: string; amount: bigint; tax: bigint }>();
  for (const { line, amount, rate } of perLine) {
    const sum = rates.get(rate.key) ?? { percent: line.taxPercent, amount: 0n, tax: 0n };
    sum.amount += amount;
    sum.tax += taxOf(amount, rate, rule.pricesIncludeTax);
    rates.set(rate.key, sum);
  }
  let net = 0n;
  let tax = 0n;
  const taxes = [...rates.entries()].sort(byRate).map(([key, sum]) => {
    const rateTax =
      rule.taxOn === 'line' ? sum.tax : taxOf(sum.amount, rateFromKey(key), rule.pricesIncludeTax);
    const rateNet = rule.pricesIncludeTax ? sum.amount - rateTax : sum.amount;
    net += rateNet;
    tax += rateTax;
    return { percent: sum.percent, netMinor: safe(rateNet), taxMinor: safe(rateTax) };
  });
  return {
    currency: rule.currency,
    lines: perLine.map(({ line, amount, rate }) => {
      if (rule.taxOn === 'total') {
        const shown = safe(amount);
        return rule.pricesIncludeTax
          ? { entryId: line.entryId, netMinor: null, taxMinor: null, grossMinor: shown }
          : { entryId: line.entryId, netMinor: shown, taxMinor: null, grossMinor: null };
      }
      const lineTax = taxOf(amount, rate, rule.pricesIncludeTax);
      const lineNet = rule.pricesIncludeTax ? amount - lineTax : amount;
      return {
        entryId: line.entryId,
        netMinor: safe(lineNet),
        taxMinor: safe(lineTax),
        grossMinor: safe(lineNet + lineTax),
      };
    }),
    netMinor: safe(net),
    taxes,
    taxMinor: safe(tax),
    grossMinor: safe(net + tax),
  };
}

interface TaxRate {
  /** Percent times 10^RATE_DIGITS. */
  readonly units: bigint;
  readonly key: string;
}

const RATE_DIGITS = 4;
const HUNDRED_PERCENT = 100n * tenTo(RATE_DIGITS);

function amountMinor(line: PricedLine): bigint {
  const quantity = parseDecimal(line.quantity);
  if (quantity === null) throw new RangeError(`${line.quantity} is no quantity`);
  if (!Number.isSafeInteger(line.unitPriceMinor)) throw new RangeError(`${line.unitPriceMinor} is no price`);
  return roundedQuotient(quantity.units * BigInt(line.unitPriceMinor), tenTo(quantity.scale));
}

function taxRate(text: string): TaxRate {
  const percent = parseDecimal(text);
  if (percent === null || percent.scale > RATE_DIGITS) throw new RangeError(`${text} is no tax rate`);
  const units = percent.units * tenTo(RATE_DIGITS - percent.scale);
  return { units, key: String(units) };
}

const rateFromKey = (key: string): TaxRate => ({ units: BigInt(key), key });

function taxOf(amount: bigint, rate: TaxRate, included: boolean): bigint {
  return included
    ? roundedQuotient(amount * rate.units, HUNDRED_PERCENT + rate.units)
    : roundedQuotient(amount * rate.units, HUNDRED_PERCENT);
}

const byRate = (a: readonly [string, unknown], b: readonly [string, unknown]): number =>
  BigInt(a[0]) < BigInt(b[0]) ? -1 : 1;

function safe(value: bigint): number {
  const number = Number(value);
  if (!Number.isSafeInteger(number)) throw new RangeError('an amount is beyond what can be kept exactly');
  return number;
}

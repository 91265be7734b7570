import { decimalsFor, decimalsOf, fromKpa } from '../../../calibration/pressure-units.ts';
import { FIGURE_DECIMALS, OTHER_FIGURE_DECIMALS } from '../../contract/check-words.ts';
import type { CheckFigure } from '../../contract/checks.ts';
import type { PressureUnit } from '../../contract/jobs-values.ts';

/** Decimals of a pressure whose uncertainty is not known. */
const DIGITS: Readonly<Record<PressureUnit, number>> = {
  kPa: 2,
  mbar: 1,
  mmHg: 1,
  cmHg: 2,
  inHg: 2,
  psi: 3,
};

export const NOT_MEASURED = '–';
const NO_BREAK = '\u00a0';
const MINUS = '\u2212';

/** Numbers and days as the shop writes them. */
export class ReportNumbers {
  readonly unit: PressureUnit;
  readonly #locale: string;
  readonly #whole: Intl.NumberFormat;

  constructor(locale: string, unit: PressureUnit) {
    this.unit = unit;
    this.#locale = Intl.NumberFormat.supportedLocalesOf(locale)[0] ?? 'en';
    this.#whole = new Intl.NumberFormat(this.#locale, { maximumFractionDigits: 0 });
  }

  get locale(): string {
    return this.#locale;
  }

  /** From kPa to the unit shown. */
  shown(kpa: number): number {
    return fromKpa(kpa, this.unit);
  }

  /** With the decimals that the uncertainty is worth. */
  pressure(kpa: number | null, expandedKpa: number | null = null): string {
    if (kpa === null) return NOT_MEASURED;
    return this.#rounded(kpa, this.#digits(expandedKpa));
  }

  /** With its expanded uncertainty; without one it says so by standing alone. */
  uncertain(kpa: number | null, expandedKpa: number | null): string {
    const value = this.pressure(kpa, expandedKpa);
    if (kpa === null || expandedKpa === null) return value;
    return `${value} ± ${this.#rounded(expandedKpa, this.#digits(expandedKpa))}`;
  }

  /** With its uncertainty and unit, on one line of the page; a pressure in the shop's own unit. */
  figure({ value, expanded, unit }: CheckFigure): string {
    const text = unit.startsWith('kPa')
      ? `${this.uncertain(value, expanded)} ${unit.replace('kPa', this.unit)}`
      : this.#plain(value, expanded, FIGURE_DECIMALS[unit] ?? OTHER_FIGURE_DECIMALS, unit);
    return text.trimEnd().replaceAll(' ', NO_BREAK);
  }

  #plain(value: number, expanded: number | null, usualDigits: number, unit: string): string {
    if (expanded === null || expanded <= 0) return `${this.#number(value, usualDigits)} ${unit}`;
    const digits = decimalsOf(expanded);
    return `${this.#number(value, digits)} ± ${this.#number(expanded, digits)} ${unit}`;
  }

  /** A difference, with its sign where it is not nothing as it is shown. */
  difference(kpa: number | null, expandedKpa: number | null): string {
    if (kpa === null) return NOT_MEASURED;
    const digits = this.#digits(expandedKpa);
    const value = this.#format(digits, 'exceptZero').format(this.shown(kpa)).replace('-', MINUS);
    return expandedKpa === null ? value : `${value} ± ${this.#rounded(expandedKpa, digits)}`;
  }

  #digits(expandedKpa: number | null): number {
    return expandedKpa !== null && expandedKpa > 0 ? decimalsFor(expandedKpa, this.unit) : DIGITS[this.unit];
  }

  #rounded(kpa: number, digits: number): string {
    return this.#number(this.shown(kpa), digits);
  }

  #number(value: number, digits: number): string {
    return this.#format(digits, 'negative').format(value).replace('-', MINUS);
  }

  #format(digits: number, signDisplay: 'negative' | 'exceptZero'): Intl.NumberFormat {
    const places = { minimumFractionDigits: digits, maximumFractionDigits: digits };
    return new Intl.NumberFormat(this.#locale, { ...places, signDisplay });
  }

  whole(value: number | null): string {
    return value === null ? NOT_MEASURED : this.#whole.format(value);
  }

  /** @param day 2024-05-31 */
  day(day: string): string {
    const format = new Intl.DateTimeFormat(this.#locale, { dateStyle: 'medium', timeZone: 'UTC' });
    return format.format(new Date(`${day}T00:00:00Z`));
  }

  /** By the clock of the computer the service runs on. */
  moment(ms: number): string {
    return new Intl.DateTimeFormat(this.#locale, { dateStyle: 'medium', timeStyle: 'short' }).format(ms);
  }
}

import { decimalsFor, fromKpa } from '../../../calibration/pressure-units.ts';
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

  #digits(expandedKpa: number | null): number {
    return expandedKpa !== null && expandedKpa > 0 ? decimalsFor(expandedKpa, this.unit) : DIGITS[this.unit];
  }

  #rounded(kpa: number, digits: number): string {
    const format = { minimumFractionDigits: digits, maximumFractionDigits: digits };
    return new Intl.NumberFormat(this.#locale, format).format(this.shown(kpa));
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

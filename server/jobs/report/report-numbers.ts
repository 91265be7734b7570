import type { PressureUnit } from '../../contract/jobs-values.ts';

// NIST SP 811 (2008), appendix B.8: conventional columns of mercury; psi from the pound and the inch.
const KPA_PER_UNIT: Readonly<Record<PressureUnit, number>> = {
  kPa: 1,
  mbar: 0.1,
  mmHg: 0.1333224,
  cmHg: 1.333224,
  inHg: 3.386389,
  psi: 6.894757,
};

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
  readonly #pressure: Intl.NumberFormat;
  readonly #whole: Intl.NumberFormat;

  constructor(locale: string, unit: PressureUnit) {
    this.unit = unit;
    this.#locale = Intl.NumberFormat.supportedLocalesOf(locale)[0] ?? 'en';
    const digits = { minimumFractionDigits: DIGITS[unit], maximumFractionDigits: DIGITS[unit] };
    this.#pressure = new Intl.NumberFormat(this.#locale, digits);
    this.#whole = new Intl.NumberFormat(this.#locale, { maximumFractionDigits: 0 });
  }

  get locale(): string {
    return this.#locale;
  }

  /** From kPa to the unit shown. */
  shown(kpa: number): number {
    return kpa / KPA_PER_UNIT[this.unit];
  }

  pressure(kpa: number | null): string {
    return kpa === null ? NOT_MEASURED : this.#pressure.format(this.shown(kpa));
  }

  /** With its expanded uncertainty; without one it says so by standing alone. */
  uncertain(kpa: number | null, expandedKpa: number | null): string {
    if (kpa === null) return NOT_MEASURED;
    const value = this.pressure(kpa);
    return expandedKpa === null ? value : `${value} ± ${this.pressure(expandedKpa)}`;
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

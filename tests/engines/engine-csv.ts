import { seededRandom } from './seeded-random.ts';
import type { SampledRows } from './sensing.ts';

export interface CsvOptions {
  /** Share of cells left empty, as when one channel's sample was lost. Default 0. */
  readonly blankShare?: number;
  /** Stretches whose rows are not written. */
  readonly gaps?: readonly { readonly atS: number; readonly lengthS: number }[];
  /** Lines put before the header, as some loggers do. */
  readonly preamble?: readonly string[];
  readonly separator?: ',' | ';' | '\t';
  /** A decimal comma, as some locales write it; then the separator must not be a comma. */
  readonly decimalComma?: boolean;
  readonly lineEnd?: '\n' | '\r\n';
  readonly seed?: number;
}

/** A recording as a logger writes it: `time_s,cyl1,cyl2,…`, pressure in kPa absolute, time in seconds. */
export function engineCsv(rows: SampledRows, options: CsvOptions = {}): string {
  const separator = options.separator ?? ',';
  if (options.decimalComma && separator === ',') throw new Error('A decimal comma needs another separator');
  const lineEnd = options.lineEnd ?? '\n';
  const random = seededRandom(options.seed ?? 1, 31);
  const blankShare = options.blankShare ?? 0;
  const number = (value: number, digits: number): string => {
    const text = value.toFixed(digits);
    return options.decimalComma ? text.replace('.', ',') : text;
  };
  const lines = [...(options.preamble ?? [])];
  lines.push(['time_s', ...rows.kpa.map((_, i) => `cyl${i + 1}`)].join(separator));
  rows.timeS.forEach((timeS, row) => {
    if (options.gaps?.some((gap) => timeS >= gap.atS && timeS < gap.atS + gap.lengthS)) return;
    const cells = rows.kpa.map((kpa) => (random.uniform() < blankShare ? '' : number(kpa[row]!, 3)));
    lines.push([number(timeS, 6), ...cells].join(separator));
  });
  return lines.join(lineEnd) + lineEnd;
}

/**
 * Cycle mean when there are few samples per cycle.
 *
 * The usual pulse is known far more finely than one cycle samples it, so it serves as control variate: the mean of
 * the usual pulse, known exactly, plus the trapezoid mean of what this cycle differs from it by. The difference is
 * small and smooth where the pulse itself has corners. (Control variates: any text on Monte Carlo integration.)
 */
import { type PulseTemplate, TEMPLATE_BINS } from './pulse-template.ts';
import type { SampleHistory } from './sample-history.ts';

const MASK = TEMPLATE_BINS - 1;

/** @returns mean absolute pressure over [startS, endS] [kPa]; NaN when the stretch is not wholly known */
export function sparseMean(
  history: SampleHistory,
  channel: number,
  template: PulseTemplate,
  startS: number,
  endS: number,
): number {
  const first = history.rowAtOrBefore(channel, startS);
  const last = history.rowAtOrBefore(channel, endS) + 1;
  if (first < history.firstRow || last >= history.rows || last - first < 2) return Number.NaN;
  const { values, times, mask } = history.column(channel);
  const delayS = history.delayOf(channel);
  const lengthS = endS - startS;
  const at = (row: number): number => {
    const position = ((times[row & mask]! + delayS - startS) / lengthS) * TEMPLATE_BINS;
    const whole = Math.floor(position);
    const here = template.mean[whole & MASK]!;
    return values[row & mask]! - (here + (position - whole) * (template.mean[(whole + 1) & MASK]! - here));
  };
  let area = 0;
  let fromS = times[first & mask]! + delayS;
  let from = at(first);
  for (let row = first + 1; row <= last; row++) {
    const toS = times[row & mask]! + delayS;
    const to = at(row);
    const a = Math.max(fromS, startS);
    const b = Math.min(toS, endS);
    const slope = (to - from) / (toS - fromS);
    area += (b - a) * (from + slope * (0.5 * (a + b) - fromS));
    fromS = toS;
    from = to;
  }
  return template.averageKpa + area / lengthS;
}

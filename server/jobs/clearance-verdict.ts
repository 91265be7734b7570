import type { ClearanceReading } from '../contract/jobs-entries.ts';
import type { ClearanceFigure, ClearanceUnit } from '../contract/jobs-values.ts';
import type { ClearanceVerdict } from '../contract/jobs-views.ts';
import { parseDecimal, tenTo } from './exact-decimal.ts';

/**
 * A valve clearance against its specification, both limits allowed. Compared in whole ten-billionths of a
 * millimetre, so that 4 thou is exactly 0.1016 mm.
 *
 * A pair of feeler blades gives an interval: the clearance is at least the blade that goes and less than the
 * blade that stops. 'in', 'tight' and 'loose' are said only where that holds for the whole interval; else it is
 * 'straddling' and a blade in between decides.
 *
 *     clearanceVerdict(
 *       { how: 'feeler', goes: '0.13', stops: '0.15', unit: 'mm' },
 *       { low: '0.13', high: '0.18', unit: 'mm', source: 'manual, p. 42' },
 *     ) // 'in'
 */
export function clearanceVerdict(
  reading: ClearanceReading,
  specification: ClearanceFigure | null,
): ClearanceVerdict {
  const interval = clearanceInterval(reading);
  if (interval === null) return 'impossible';
  if (specification === null) return 'no-specification';
  const low = inFineUnits(specification.low, specification.unit);
  const high = inFineUnits(specification.high, specification.unit);
  if (low === null || high === null || low > high) return 'no-specification';
  const { atLeast, lessThan, exact } = interval;
  if (exact !== null) return exact < low ? 'tight' : exact > high ? 'loose' : 'in';
  if (atLeast !== null && atLeast > high) return 'loose';
  if (lessThan !== null && lessThan <= low) return 'tight';
  const inside = atLeast !== null && atLeast >= low && lessThan !== null && lessThan <= high;
  return inside ? 'in' : 'straddling';
}

interface ClearanceInterval {
  readonly exact: bigint | null;
  readonly atLeast: bigint | null;
  readonly lessThan: bigint | null;
}

/** null where the reading says nothing, or the blade that stops is not the thicker one. */
function clearanceInterval(reading: ClearanceReading): ClearanceInterval | null {
  if (reading.how === 'measured') {
    const exact = inFineUnits(reading.value, reading.unit);
    return exact === null ? null : { exact, atLeast: null, lessThan: null };
  }
  const atLeast = reading.goes === null ? null : inFineUnits(reading.goes, reading.unit);
  const lessThan = reading.stops === null ? null : inFineUnits(reading.stops, reading.unit);
  if (atLeast === null && lessThan === null) return null;
  if (atLeast !== null && lessThan !== null && atLeast >= lessThan) return null;
  return { exact: null, atLeast, lessThan };
}

// 1 thou = 0.001 inch = 0.0254 mm exactly (international inch, 1959).
const THOU_IN_TENTHS_OF_MICRON = 254n;
const FINE_DIGITS = 10;

function inFineUnits(text: string, unit: ClearanceUnit): bigint | null {
  const value = parseDecimal(text);
  if (value === null || value.scale > 6) return null;
  return unit === 'mm'
    ? value.units * tenTo(FINE_DIGITS - value.scale)
    : value.units * THOU_IN_TENTHS_OF_MICRON * tenTo(FINE_DIGITS - 4 - value.scale);
}

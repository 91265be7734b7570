import { figureText, signedText, UNKNOWN } from '../../server/contract/figure-text.ts';
import { fromKpa, type PressureUnit } from './pressure-unit.ts';

export { figureText, signedText, UNKNOWN };

/**
 * An expanded uncertainty as it stands behind its figure. One that would be rounded down to nothing is rounded up to the last
 * place instead: the figure is not exact.
 * @param expanded in the unit of the figure, 0 for what is exact
 */
export function plusMinusText(expanded: number, decimals: number): string {
  const lastPlace = 10 ** -decimals;
  const roundsToNothing = expanded > 0 && Number(expanded.toFixed(decimals)) === 0;
  return `±\u2009${figureText(roundsToNothing ? lastPlace : expanded, decimals)}`;
}

/** @param expandedKpa expanded uncertainty [kPa] */
export function plusMinusPressure(expandedKpa: number, decimals: number, unit: PressureUnit): string {
  return plusMinusText(fromKpa(expandedKpa, unit), decimals);
}

export function pressureText(kpa: number | null, decimals: number, unit: PressureUnit): string {
  return figureText(kpa === null ? null : fromKpa(kpa, unit), decimals);
}

export function signedPressureText(kpa: number | null, decimals: number, unit: PressureUnit): string {
  return signedText(kpa === null ? null : fromKpa(kpa, unit), decimals);
}

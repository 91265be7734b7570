import { figureText, signedText, UNKNOWN } from '../../server/contract/figure-text.ts';
import { fromKpa, type PressureUnit } from './pressure-unit.ts';

export { figureText, signedText, UNKNOWN };

export function pressureText(kpa: number | null, decimals: number, unit: PressureUnit): string {
  return figureText(kpa === null ? null : fromKpa(kpa, unit), decimals);
}

export function signedPressureText(kpa: number | null, decimals: number, unit: PressureUnit): string {
  return signedText(kpa === null ? null : fromKpa(kpa, unit), decimals);
}

import { FIGURE_DECIMALS, OTHER_FIGURE_DECIMALS } from '../../../server/contract/check-words.ts';
import type { CheckFigure } from '../../../server/contract/checks.ts';
import { chosenUnit } from '../../units/chosen-unit.ts';
import { decimalsFor } from '../../units/decimals.ts';
import { figureText, plusMinusText } from '../../units/figure-text.ts';
import { fromKpa } from '../../units/pressure-unit.ts';

/** A figure in the unit that was chosen, with as many places as its uncertainty deserves. */
export function figureWords({ value, expanded, unit }: CheckFigure): string {
  const pressure = unit.startsWith('kPa');
  const { id, maxDecimals } = chosenUnit.value;
  const scale = (kpa: number): number => (pressure ? fromKpa(kpa, chosenUnit.value) : kpa);
  const most = pressure
    ? maxDecimals + (unit === 'kPa/s' ? 1 : 0)
    : (FIGURE_DECIMALS[unit] ?? OTHER_FIGURE_DECIMALS);
  const decimals = expanded === null ? most : decimalsFor(scale(expanded), most);
  const shown = pressure ? unit.replace('kPa', id) : unit;
  const around = expanded === null ? '' : ` ${plusMinusText(scale(expanded), decimals)}`;
  return `${figureText(scale(value), decimals)}${around}${shown === '' ? '' : ` ${shown}`}`;
}

import type { CheckFigure, CheckKind, CheckVerdict } from '../../../server/contract/checks.ts';
import { chosenUnit } from '../../units/chosen-unit.ts';
import { decimalsFor } from '../../units/decimals.ts';
import { figureText } from '../../units/figure-text.ts';
import { fromKpa } from '../../units/pressure-unit.ts';

export const VERDICT_WORDS: Readonly<Record<CheckVerdict, string>> = {
  found: 'Found',
  'not-found': 'Not found',
  'cannot-tell': 'Cannot tell',
};

/** What a check looks for. */
export const LOOKED_FOR: Readonly<Record<CheckKind, string>> = {
  'key-off': 'Sensor off its zero',
  cranking: 'Weak cylinder',
  'idle-quality': 'Rough idle',
  spot: 'Leak',
  hold: 'Leak',
  'two-opening': 'Leak or linkage that is off',
  drop: 'Cylinder that works too little',
  blip: 'Slide that lags',
};

const MOST_DECIMALS: Readonly<Record<string, number>> = {
  'r/min': 0,
  '%': 1,
  s: 2,
  'ml/s': 3,
  mm: 3,
  '': 1,
};

/** A figure in the unit that was chosen, with as many places as its uncertainty deserves. */
export function figureWords({ value, expanded, unit }: CheckFigure): string {
  const pressure = unit.startsWith('kPa');
  const { id, maxDecimals } = chosenUnit.value;
  const scale = (kpa: number): number => (pressure ? fromKpa(kpa, chosenUnit.value) : kpa);
  const most = pressure ? maxDecimals + (unit === 'kPa/s' ? 1 : 0) : (MOST_DECIMALS[unit] ?? 2);
  const decimals = expanded === null ? most : decimalsFor(scale(expanded), most);
  const shown = pressure ? unit.replace('kPa', id) : unit;
  const around = expanded === null ? '' : ` ±\u2009${figureText(scale(expanded), decimals)}`;
  return `${figureText(scale(value), decimals)}${around}${shown === '' ? '' : ` ${shown}`}`;
}

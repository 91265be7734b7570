/** The shop's words for guided checks; screens and the report show these. */
import type { CheckKind, CheckVerdict } from './checks.ts';

export const CHECK_NAMES: Readonly<Record<CheckKind, string>> = {
  'key-off': 'Key-off check',
  cranking: 'Cranking check',
  'idle-quality': 'Idle quality',
  spot: 'Spot test',
  hold: 'Hold test',
  'two-opening': 'Two-opening test',
  drop: 'Cylinder drop',
  blip: 'Blip test',
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

/** Of what the check looks for. */
export const CHECK_VERDICT_WORDS: Readonly<Record<CheckVerdict, string>> = {
  found: 'found',
  'not-found': 'not found',
  'cannot-tell': 'cannot tell',
};

/** Decimals of a figure whose uncertainty is not known, by its unit; pressures have those of the unit shown. */
export const FIGURE_DECIMALS: Readonly<Record<string, number>> = {
  'r/min': 0,
  '%': 1,
  s: 2,
  'ml/s': 3,
  mm: 3,
  '': 1,
};

/** The same for a unit that is not in the list. */
export const OTHER_FIGURE_DECIMALS = 2;

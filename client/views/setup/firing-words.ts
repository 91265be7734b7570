import { type FiringLayout, firingLayouts } from '../../../server/contract/firing-angles.ts';
import type { FiringSetup } from '../../../server/contract/setup.ts';

/** What a person sees to choose from: an uneven twin is one choice, and which way round it fires another. */
export type FiringMake =
  | 'not-known'
  | 'twin-360'
  | 'flat-twin'
  | 'twin-180'
  | 'twin-270'
  | 'v-twin'
  | 'three-1-2-3'
  | 'three-1-3-2'
  | 'four-1-2-4-3'
  | 'four-1-3-4-2'
  | 'four-crossplane'
  | 'own';

export const FIRING_WORDS: Readonly<Record<FiringMake, string>> = {
  'not-known': 'Not known',
  'twin-360': 'Parallel twin, 360° crank',
  'flat-twin': 'Flat twin',
  'twin-180': 'Parallel twin, 180° crank',
  'twin-270': 'Parallel twin, 270° crank',
  'v-twin': 'V-twin, one crank pin',
  'three-1-2-3': 'In-line three, 120° crank, 1-2-3',
  'three-1-3-2': 'In-line three, 120° crank, 1-3-2',
  'four-1-2-4-3': 'In-line four, 1-2-4-3',
  'four-1-3-4-2': 'In-line four, 1-3-4-2',
  'four-crossplane': 'In-line four, crossplane crank, 1-3-2-4',
  own: 'V-four or other: type order and gaps',
};

const MAKE_OF: Readonly<Record<FiringLayout, FiringMake>> = {
  'twin-360-360': 'twin-360',
  'flat-twin': 'flat-twin',
  'twin-180-540': 'twin-180',
  'twin-540-180': 'twin-180',
  'twin-270-450': 'twin-270',
  'twin-450-270': 'twin-270',
  'three-1-2-3': 'three-1-2-3',
  'three-1-3-2': 'three-1-3-2',
  'four-1-2-4-3': 'four-1-2-4-3',
  'four-1-3-4-2': 'four-1-3-4-2',
  'four-crossplane': 'four-crossplane',
};

/** Twins that fire unevenly: which cylinder follows the short gap has to be told. */
export const TWIN_WAYS: Readonly<Partial<Record<FiringMake, readonly FiringLayout[]>>> = {
  'twin-180': ['twin-180-540', 'twin-540-180'],
  'twin-270': ['twin-270-450', 'twin-450-270'],
};

/** What an engine of so many cylinders can have. Order and gaps fit every engine. */
export function firingMakes(cylinders: number, strokes: 4 | 2): FiringMake[] {
  const layouts = strokes === 4 ? firingLayouts(cylinders).map((layout) => MAKE_OF[layout]) : [];
  const vTwin = strokes === 4 && cylinders === 2 ? (['v-twin'] as const) : [];
  return ['not-known', ...new Set(layouts), ...vTwin, 'own'];
}

export function makeOf(firing: FiringSetup): FiringMake {
  if (firing.kind === 'not-known' || firing.kind === 'v-twin' || firing.kind === 'own') return firing.kind;
  return MAKE_OF[firing.kind];
}

/** In one line, for a choice that is offered. */
export function firingSentence(firing: FiringSetup): string {
  switch (firing.kind) {
    case 'own':
      return `order ${firing.order.join('-')}, gaps ${firing.gapsDeg.join('-')}`;
    case 'v-twin':
      return `${FIRING_WORDS['v-twin']}, ${firing.vAngleDeg}°, cylinder 2 ${firing.second === 'sooner' ? 360 - firing.vAngleDeg : 360 + firing.vAngleDeg}° after 1`;
    case 'twin-180-540':
    case 'twin-540-180':
    case 'twin-270-450':
    case 'twin-450-270':
      return `${FIRING_WORDS[MAKE_OF[firing.kind]]}, cylinder 2 ${firing.kind.split('-')[1]}° after 1`;
    default:
      return FIRING_WORDS[makeOf(firing)];
  }
}

import type { FiringLayout } from '../../../server/contract/firing-angles.ts';
import type { Machine } from '../../../server/contract/jobs.ts';
import type { FiringSetup } from '../../../server/contract/setup.ts';

/** Orders that stand for an even engine. The crossplane four is known by its layout's name alone. */
const ORDERS: Readonly<Record<string, FiringLayout>> = {
  '1-2-3': 'three-1-2-3',
  '1-3-2': 'three-1-3-2',
  '1-2-4-3': 'four-1-2-4-3',
  '1-3-4-2': 'four-1-3-4-2',
};
const TWINS: Readonly<Record<string, FiringLayout>> = {
  '360-360': 'twin-360-360',
  '180-540': 'twin-180-540',
  '540-180': 'twin-540-180',
  '270-450': 'twin-270-450',
  '450-270': 'twin-450-270',
};
const WHOLE_CYCLE_DEG = 720;

/**
 * What a machine's record says of its firing, where it can be told from the words: an order, the gaps in degrees, or
 * one after the other. Four-strokes only.
 *
 * @returns null where the words leave anything open
 */
export function firingOfMachine({
  layout,
  firing,
  cylinders,
}: Pick<Machine, 'layout' | 'firing' | 'cylinders'>): FiringSetup | null {
  const words = layout.toLowerCase();
  const figures = (firing.match(/\d+(\.\d+)?/g) ?? []).map(Number);
  const order = figures.slice(0, cylinders);
  const named = Array.from({ length: cylinders }, (_, cyl) => cyl + 1).every((one) => order.includes(one));
  const gapsDeg = named ? figures.slice(cylinders) : figures;
  const gapsFit =
    gapsDeg.length === cylinders && gapsDeg.reduce((sum, gap) => sum + gap, 0) === WHOLE_CYCLE_DEG;
  if (gapsDeg.length > 0 && !gapsFit) return null;
  if (named && gapsFit) return { kind: 'own', order, gapsDeg };
  if (named && words.includes('cross') && order.join('-') === '1-3-2-4') return { kind: 'four-crossplane' };
  if (named) {
    const kind = evenLayout(words) ? ORDERS[order.join('-')] : undefined;
    return kind === undefined ? null : { kind };
  }
  if (cylinders !== 2) return null;
  if (gapsFit) return twin(words, gapsDeg);
  if (/\b(flat|boxer)\b/.test(words)) return { kind: 'flat-twin' };
  return /\b360\b/.test(words) && /\btwin\b/.test(words) ? { kind: 'twin-360-360' } : null;
}

function evenLayout(words: string): boolean {
  return !/cross|\bv\b|v[- ]?(3|4|three|four)/.test(words);
}

function twin(words: string, gapsDeg: readonly number[]): FiringSetup {
  const kind = TWINS[gapsDeg.join('-')];
  if (kind === 'twin-360-360' && /\b(flat|boxer)\b/.test(words)) return { kind: 'flat-twin' };
  if (kind !== undefined && !/\bv/.test(words)) return { kind };
  return { kind: 'own', order: [1, 2], gapsDeg: [...gapsDeg] };
}

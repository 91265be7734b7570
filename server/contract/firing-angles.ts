/**
 * In which order the cylinders fire and how far apart, and the angles that follow. Apart from the schemas, so that a
 * screen can work with it too. Firing orders and gaps: common practice, no source.
 */
import type { FiringSetup } from './setup.ts';

/** What can be chosen without typing anything. Each name is the gaps from cylinder 1 on, or the firing order. */
export const FIRING_LAYOUTS = [
  'twin-360-360',
  'flat-twin',
  'twin-180-540',
  'twin-540-180',
  'twin-270-450',
  'twin-450-270',
  'three-1-2-3',
  'three-1-3-2',
  'four-1-2-4-3',
  'four-1-3-4-2',
  'four-crossplane',
] as const;
export type FiringLayout = (typeof FIRING_LAYOUTS)[number];

/** Crank angle [deg] at which each cylinder fires after cylinder 1, four-stroke. */
const ANGLES_DEG: Readonly<Record<FiringLayout, readonly number[]>> = {
  'twin-360-360': [0, 360],
  'flat-twin': [0, 360],
  'twin-180-540': [0, 180],
  'twin-540-180': [0, 540],
  'twin-270-450': [0, 270],
  'twin-450-270': [0, 450],
  'three-1-2-3': [0, 240, 480],
  'three-1-3-2': [0, 480, 240],
  'four-1-2-4-3': [0, 180, 540, 360],
  'four-1-3-4-2': [0, 540, 180, 360],
  'four-crossplane': [0, 450, 270, 540],
};

/** The gaps of an engine may miss the whole cycle by so much, for figures that a manual rounds [deg]. */
const ROUNDING_DEG = 1;

export type FiringOutcome =
  | { readonly ok: true; readonly anglesDeg: readonly number[] | null }
  | { readonly ok: false; readonly reason: string };

/**
 * Crank angle [deg, from 0 to less than a whole cycle] at which each cylinder fires after cylinder 1.
 *
 * @returns null for 'not known'; why it cannot be, in a sentence, where the choice does not fit the engine
 */
export function firingAngles(firing: FiringSetup, cylinders: number, strokes: 4 | 2): FiringOutcome {
  if (firing.kind === 'not-known') return { ok: true, anglesDeg: null };
  if (firing.kind === 'own') return ownAngles(firing, cylinders, strokes);
  if (strokes === 2)
    return no('This way of firing is that of a four-stroke: type the order and gaps of a two-stroke.');
  const anglesDeg =
    firing.kind === 'v-twin'
      ? [0, 360 + (firing.second === 'sooner' ? -firing.vAngleDeg : firing.vAngleDeg)]
      : ANGLES_DEG[firing.kind];
  if (anglesDeg.length !== cylinders)
    return no(`This way of firing is that of ${anglesDeg.length} cylinders, not of ${cylinders}.`);
  return { ok: true, anglesDeg };
}

/** The choices without typing for so many cylinders of a four-stroke. */
export function firingLayouts(cylinders: number): FiringLayout[] {
  return FIRING_LAYOUTS.filter((layout) => ANGLES_DEG[layout].length === cylinders);
}

type OwnFiring = Extract<FiringSetup, { kind: 'own' }>;

function ownAngles({ order, gapsDeg }: OwnFiring, cylinders: number, strokes: 4 | 2): FiringOutcome {
  const each = Array.from({ length: cylinders }, (_, cyl) => cyl + 1);
  if (order.length !== cylinders || each.some((cylinder) => !order.includes(cylinder)))
    return no(`Name each cylinder from 1 to ${cylinders} once in the firing order.`);
  if (gapsDeg.length !== cylinders)
    return no(`Give ${cylinders} gaps: from each firing to the next, and from the last to the first.`);
  const whole = strokes === 4 ? 720 : 360;
  const sum = gapsDeg.reduce((total, gap) => total + gap, 0);
  if (Math.abs(sum - whole) > ROUNDING_DEG)
    return no(
      `The gaps make ${Number(sum.toFixed(1))}° together. ` +
        `A ${strokes === 4 ? 'four-stroke fires all its cylinders within 720°' : 'two-stroke fires all its cylinders within 360°'}: look for the gap that is wrong.`,
    );
  const anglesDeg = each.map(() => 0);
  let angle = 0;
  for (const [at, cylinder] of order.entries()) {
    anglesDeg[cylinder - 1] = angle;
    angle += gapsDeg[at]!;
  }
  const first = anglesDeg[0]!;
  return { ok: true, anglesDeg: anglesDeg.map((one) => (one - first + whole) % whole) };
}

function no(reason: string): FiringOutcome {
  return { ok: false, reason };
}

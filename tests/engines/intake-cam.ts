import type { SeededRandom } from './seeded-random.ts';

/** How one tap's cylinder draws: shares of the stroke volume taken over the part of the cycle that intake lasts. */
export interface IntakeCam {
  /** Crank angle from the begin of the fall to its end [deg]. */
  readonly durationDeg: number;
  /** Share 0…1 drawn at each of the table's even steps of the duration. */
  readonly drawn: Float64Array;
}

const STEPS = 512;

/** An S-shaped draw: slow at first lift, quickest near the fastest piston, slow again to closing. */
export function intakeCam(cycleDeg: number, random: SeededRandom): IntakeCam {
  const durationDeg = cycleDeg * random.between(0.23, 0.29);
  const opening = random.between(1.1, 1.9);
  const closing = random.between(1.2, 2.2);
  const drawn = new Float64Array(STEPS + 2);
  let sum = 0;
  for (let i = 1; i <= STEPS; i++) {
    const x = (i - 0.5) / STEPS;
    sum += x ** opening * (1 - x) ** closing;
    drawn[i] = sum;
  }
  drawn[STEPS + 1] = sum;
  for (let i = 0; i < drawn.length; i++) drawn[i] = drawn[i]! / sum;
  return { durationDeg, drawn };
}

/** @param angleDeg crank angle since the begin of the fall */
export function drawnShare(cam: IntakeCam, angleDeg: number): number {
  if (angleDeg <= 0) return 0;
  if (angleDeg >= cam.durationDeg) return 1;
  const position = (angleDeg / cam.durationDeg) * STEPS;
  const i = Math.floor(position);
  const a = cam.drawn[i]!;
  return a + (position - i) * (cam.drawn[i + 1]! - a);
}

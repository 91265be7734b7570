import type { Reading } from '../../../../server/signal/reading.ts';

/** A running engine with screws to turn and an instrument on it, as the hand of a test sees it. */
export interface BalancingEngine {
  readonly cylinders: number;
  readonly timeS: number;
  /** Carries it on and answers the reading at its new time. */
  advance(durationS: number): Reading;
  /** Turns of a screw of the linkage [turns inward]. */
  turn(screw: number, turns: number): void;
  turnIdleScrew(turns: number): void;
  /** Holds the throttle open: 0 is released, 1 lets in as much air again as the idle does. */
  hold(opening: number): void;
  /** Opens the throttle for a moment. */
  blip(): void;
  /** What the engine idles at just now [r/min]. */
  readonly trueRpm: number;
  /** Vacuum of each cylinder above the mean of all, as it truly is with the screws where they are [kPa]. */
  trueGapsKpa(): number[];
}

/** Furthest cylinder from the reference [kPa]. */
export function worstTrueGapKpa(engine: BalancingEngine, reference: number | 'mean'): number {
  const gaps = engine.trueGapsKpa();
  const zero = reference === 'mean' ? 0 : gaps[reference]!;
  return Math.max(...gaps.map((gap) => Math.abs(gap - zero)));
}

import type { BalancingEngine } from '../server/signal/advice/balancing-engine.ts';
import { worstTrueGapKpa } from '../server/signal/advice/balancing-engine.ts';

const FIRST_TURNS = 0.25;
const MOST_MOVES = 60;

/**
 * What a hand does without advice, but with a perfect gauge: a quarter of a turn at one screw after the other, on while
 * the worst gap gets less, back by half when it does not.
 *
 * @returns turns until all are inside, or the most there may be
 */
export function turnsByTrial(
  engine: BalancingEngine,
  screws: number,
  reference: number | 'mean',
  toleranceKpa: number,
): number {
  const steps = Array.from({ length: screws }, () => FIRST_TURNS);
  let moves = 0;
  let worst = worstTrueGapKpa(engine, reference);
  for (let screw = 0; ; screw = (screw + 1) % screws) {
    for (;;) {
      if (worst <= toleranceKpa || moves >= MOST_MOVES) return moves;
      engine.turn(screw, steps[screw]!);
      moves++;
      const now = worstTrueGapKpa(engine, reference);
      const better = now < worst;
      worst = now;
      if (better) continue;
      steps[screw]! *= -0.5;
      break;
    }
  }
}

import type { BalancingEngine } from './balancing-engine.ts';
import { quickEngineOf } from './quick-engine.ts';

export interface CableEngineOptions {
  readonly seed: number;
  readonly cylinders: number;
  readonly reference: number | 'mean';
  readonly toleranceKpa: number;
  /** Stops and cables out of adjustment [turns]. */
  readonly stopTurns: readonly number[];
  readonly cableTurns: readonly number[];
}

/** What a cable lets in before it is pulled: less than the stop, so that there is slack [areas at idle]. */
const SLACK_AREA = 0.85;
const AREA_PER_TURN = 0.22;

/**
 * Every throttle rests on its own stop or hangs on its own cable, whichever holds it further open. Screws: the stops of
 * all cylinders, then their cable adjusters.
 */
export function cableEngine(options: CableEngineOptions): BalancingEngine {
  const { cylinders, stopTurns, cableTurns } = options;
  return quickEngineOf({
    ...options,
    screws: 2 * cylinders,
    areas: ({ screwTurns, idleTurns, throttle }) =>
      stopTurns.map((stop, cyl) => {
        const onStop = 1 + AREA_PER_TURN * (stop + screwTurns[cyl]! + idleTurns);
        const onCable =
          SLACK_AREA + throttle + AREA_PER_TURN * (cableTurns[cyl]! + screwTurns[cylinders + cyl]!);
        return Math.max(0.01, onStop, onCable);
      }),
  });
}

/** What the advisor has to say at a moment. */
import type { IdleSpeed } from './idle-speed-check.ts';
import type { BalancePointId } from './linkage.ts';
import type { MoveCause } from './move-attribution.ts';
import type { TurnOutcome } from './move-words.ts';
import type { NextMove } from './next-move.ts';

export type AdviceState =
  /** Moving, settling, not known well enough, engine stopped, a sensor without a reading, hoses swapped. */
  | 'waiting'
  | 'equal'
  /** A screw is to be turned a little, to learn what it does. */
  | 'find-out'
  | 'move'
  /** This point is equal, the other one is to be looked at. */
  | 'other-point';

export interface LastMove {
  readonly cause: MoveCause['kind'];
  /** Index in the linkage where the cause is a screw. */
  readonly screw: number | null;
  readonly outcome: TurnOutcome;
  /** How sure the cause is, 0…1. */
  readonly probability: number;
}

export interface Advice {
  readonly state: AdviceState;
  /** The next move in plain words, or null when there is nothing to say. */
  readonly sentence: string | null;
  /** The same as data, where a screw is named; `screw` is an index in the linkage. */
  readonly move: (NextMove & { readonly screwName: string }) | null;
  /** What changed last; null until something did, and while it moves. */
  readonly lastMove: LastMove | null;
  readonly point: BalancePointId | null;
  readonly idle: IdleSpeed;
}

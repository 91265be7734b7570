/** States, events and effects of the link to a board; `board-link.ts` has the transitions. */
import type { BadLineReason, BoardCommand, BoardLine, IdentityLine } from '../../firmware-protocol/lines.ts';
import type { ErrorCode } from '../error-catalogue.ts';
import type { StreamEnd } from './byte-source.ts';
import type { SplitDrop } from './line-splitter.ts';

export type LinkPhase =
  | 'stopped'
  | 'opening'
  | 'waiting-for-board'
  | 'live'
  | 'stalled'
  | 'lost'
  | 'ended'
  | 'refused';

export type LinkTimer = 'retry' | 'watch';

export interface LinkState {
  readonly phase: LinkPhase;
  /** Line speeds to try in turn; empty where the source has none. */
  readonly baudRates: readonly number[];
  readonly baudIndex: number;
  /** The board that was last heard from, kept while it is away. */
  readonly identity: IdentityLine | null;
  readonly errorCode: ErrorCode | null;
  /** Times in a row that opening failed or the stream ended before a board was known. */
  readonly failures: number;
  /** Since opening: bad lines, and whether any good one came. */
  readonly badLines: number;
  readonly heardGoodLine: boolean;
  /** Whole watch intervals in the present phase without what it waits for. */
  readonly idleWatches: number;
}

export type LinkEvent =
  | { readonly kind: 'start' }
  | { readonly kind: 'opened' }
  | { readonly kind: 'ended'; readonly end: StreamEnd }
  | { readonly kind: 'line'; readonly line: BoardLine }
  | { readonly kind: 'bad-line'; readonly reason: BadLineReason | SplitDrop }
  | { readonly kind: 'timer'; readonly timer: LinkTimer }
  | { readonly kind: 'stop' };

export type LinkEffect =
  /** Closes what is open and opens again. */
  | { readonly kind: 'open'; readonly baudRate: number | null }
  | { readonly kind: 'close' }
  | { readonly kind: 'write'; readonly command: BoardCommand }
  /** Replaces a running timer of the same name. */
  | {
      readonly kind: 'set-timer';
      readonly timer: LinkTimer;
      readonly delayMs: number;
    }
  | { readonly kind: 'clear-timers' }
  /** A board is there; `line` says which. Samples follow. */
  | { readonly kind: 'identified'; readonly line: IdentityLine }
  | { readonly kind: 'deliver'; readonly line: BoardLine }
  /** No samples for a while: what comes next does not join on to what came before. */
  | { readonly kind: 'break' };

export type Transition = readonly [LinkState, readonly LinkEffect[]];

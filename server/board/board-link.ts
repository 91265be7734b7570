/**
 * The life of the link to one board as a pure function: `(state, event) -> [state, effects]`. It owns opening,
 * asking for identity, hunting for the line speed, live samples, stalls, losses and refusals, and retries for
 * ever with a bounded delay. `link-runner.ts` carries the effects out.
 */
import type { BadLineReason, BoardLine, IdentityLine } from '../../firmware-protocol/lines.ts';
import type { ErrorCode } from '../error-catalogue.ts';
import type { StreamEnd } from './byte-source.ts';
import type { SplitDrop } from './line-splitter.ts';
import type { LinkEffect, LinkEvent, LinkState, Transition } from './link-types.ts';
import { sameBoard } from './same-board.ts';

export const WATCH_MS = 500;
export const RETRY_FIRST_MS = 200;
export const RETRY_LONGEST_MS = 2_000;
/** A board that resets as its port opens spends about two seconds in its bootloader. */
export const WAIT_WATCHES = 9;
/** So many bad lines and not one good one: no board at the right speed sends that. */
export const UNREADABLE_LINES = 20;
export const UNREADABLE_WATCHES = 2;
export const STALL_WATCHES = 3;
export const STALL_REOPEN_WATCHES = 12;
export const REFUSED_ASK_WATCHES = 10;

const NOTHING: readonly LinkEffect[] = [];
const IDENTIFY: LinkEffect = { kind: 'write', command: { kind: 'identify' } };
const START: LinkEffect = { kind: 'write', command: { kind: 'start' } };
const WATCH: LinkEffect = {
  kind: 'set-timer',
  timer: 'watch',
  delayMs: WATCH_MS,
};
const BREAK: LinkEffect = { kind: 'break' };

/** Reasons why the board itself, and not a line, is refused. */
const REFUSALS: Partial<Record<BadLineReason | SplitDrop, ErrorCode>> = {
  'newer-protocol': 'board-newer-protocol',
  'zero-channels': 'board-zero-channels',
  'too-many-channels': 'board-too-many-channels',
};

export function initialLink(baudRates: readonly number[]): LinkState {
  return {
    phase: 'stopped',
    baudRates,
    baudIndex: 0,
    identity: null,
    errorCode: null,
    failures: 0,
    badLines: 0,
    heardGoodLine: false,
    idleWatches: 0,
  };
}

/** The delay before the n-th attempt in a row [ms]: doubles, and stays at its bound. */
export function retryDelayMs(failures: number): number {
  return Math.min(RETRY_LONGEST_MS, RETRY_FIRST_MS * 2 ** Math.min(failures, 30));
}

export function nextLink(state: LinkState, event: LinkEvent): Transition {
  if (event.kind === 'stop') {
    return [{ ...state, phase: 'stopped', errorCode: null }, [{ kind: 'clear-timers' }, { kind: 'close' }]];
  }
  if (event.kind === 'start') {
    return state.phase === 'stopped' || state.phase === 'ended'
      ? reopen({ ...state, failures: 0 }, state.baudIndex, null)
      : [state, NOTHING];
  }
  if (state.phase === 'stopped' || state.phase === 'ended') return [state, NOTHING];
  switch (event.kind) {
    case 'opened':
      return state.phase === 'opening' ? opened(state) : [state, NOTHING];
    case 'ended':
      return ended(state, event.end);
    case 'timer':
      return event.timer === 'retry' ? retry(state) : watch(state);
    case 'line':
      return line(state, event.line);
    case 'bad-line':
      return badLine(state, event.reason);
  }
}

function reopen(state: LinkState, baudIndex: number, errorCode: ErrorCode | null): Transition {
  return [
    { ...state, phase: 'opening', baudIndex, errorCode },
    [{ kind: 'clear-timers' }, { kind: 'open', baudRate: state.baudRates[baudIndex] ?? null }],
  ];
}

function opened(state: LinkState): Transition {
  return [
    {
      ...state,
      phase: 'waiting-for-board',
      badLines: 0,
      heardGoodLine: false,
      idleWatches: 0,
    },
    // Asked twice: the first line after opening may be a cut-off one and is never used.
    [IDENTIFY, IDENTIFY, WATCH],
  ];
}

function ended(state: LinkState, end: StreamEnd): Transition {
  const wasLive = state.phase === 'live' || state.phase === 'stalled';
  const effects: LinkEffect[] = [{ kind: 'clear-timers' }];
  if (wasLive) effects.push(BREAK);
  if (end.code === 'source-ended') return [{ ...state, phase: 'ended', errorCode: end.code }, effects];
  effects.push({ kind: 'set-timer', timer: 'retry', delayMs: retryDelayMs(state.failures) });
  // While the cable is out its port does not exist: the person is still told of the cable.
  const stillOut = state.errorCode === 'source-unplugged' && end.code === 'source-not-found';
  const errorCode = stillOut ? state.errorCode : end.code;
  return [{ ...state, phase: 'lost', errorCode, failures: state.failures + 1 }, effects];
}

function retry(state: LinkState): Transition {
  return state.phase === 'lost' ? reopen(state, state.baudIndex, state.errorCode) : [state, NOTHING];
}

function line(state: LinkState, received: BoardLine): Transition {
  if (state.phase === 'opening' || state.phase === 'lost') return [state, NOTHING];
  if (received.kind === 'identity') return identity(state, received);
  switch (state.phase) {
    case 'live':
      return [
        received.kind === 'sample' && state.idleWatches > 0 ? { ...state, idleWatches: 0 } : state,
        [{ kind: 'deliver', line: received }],
      ];
    case 'stalled':
      if (received.kind !== 'sample') return [state, [{ kind: 'deliver', line: received }]];
      return [
        { ...state, phase: 'live', errorCode: null, idleWatches: 0 },
        [{ kind: 'deliver', line: received }],
      ];
    default:
      return state.heardGoodLine ? [state, NOTHING] : [{ ...state, heardGoodLine: true }, NOTHING];
  }
}

function identity(state: LinkState, received: IdentityLine): Transition {
  const known = state.phase === 'live' || state.phase === 'stalled';
  // Not answered with a command: boards answer every command with their identity.
  if (known && sameBoard(state.identity, received)) return [state, NOTHING];
  const effects: LinkEffect[] = known ? [BREAK] : [];
  effects.push({ kind: 'identified', line: received }, START);
  return [
    {
      ...state,
      phase: 'live',
      identity: received,
      errorCode: null,
      failures: 0,
      idleWatches: 0,
    },
    effects,
  ];
}

function badLine(state: LinkState, reason: BadLineReason | SplitDrop): Transition {
  const refusal = REFUSALS[reason];
  if (refusal !== undefined && state.phase !== 'opening' && state.phase !== 'lost') {
    if (state.phase === 'refused' && state.errorCode === refusal) return [state, NOTHING];
    const wasLive = state.phase === 'live' || state.phase === 'stalled';
    return [{ ...state, phase: 'refused', errorCode: refusal, idleWatches: 0 }, wasLive ? [BREAK] : NOTHING];
  }
  if (state.phase !== 'waiting-for-board') return [state, NOTHING];
  if (reason === 'partial-first-line' || reason === 'partial-last-line') return [state, NOTHING];
  return [{ ...state, badLines: state.badLines + 1 }, NOTHING];
}

function watch(state: LinkState): Transition {
  const idle = { ...state, idleWatches: state.idleWatches + 1 };
  switch (state.phase) {
    case 'waiting-for-board':
      return watchWaiting(idle);
    case 'live':
      if (idle.idleWatches < STALL_WATCHES) return [idle, [WATCH]];
      return [
        {
          ...idle,
          phase: 'stalled',
          errorCode: 'board-stalled',
          idleWatches: 0,
        },
        [BREAK, IDENTIFY, START, WATCH],
      ];
    case 'stalled':
      if (idle.idleWatches >= STALL_REOPEN_WATCHES) return reopen(idle, idle.baudIndex, 'board-stalled');
      return [idle, idle.idleWatches % 2 === 0 ? [IDENTIFY, START, WATCH] : [WATCH]];
    case 'refused':
      if (idle.idleWatches < REFUSED_ASK_WATCHES) return [idle, [WATCH]];
      return [{ ...idle, idleWatches: 0 }, [IDENTIFY, WATCH]];
    default:
      return [state, NOTHING];
  }
}

function watchWaiting(idle: LinkState): Transition {
  const unreadable = !idle.heardGoodLine && idle.badLines >= UNREADABLE_LINES;
  if (unreadable && idle.idleWatches >= UNREADABLE_WATCHES) {
    return reopen(idle, nextBaud(idle), 'board-unreadable');
  }
  if (idle.idleWatches >= WAIT_WATCHES) {
    if (idle.heardGoodLine) return reopen(idle, idle.baudIndex, 'board-no-identity');
    return reopen(idle, nextBaud(idle), idle.badLines > 0 ? 'board-unreadable' : 'board-silent');
  }
  return [idle, idle.idleWatches % 2 === 0 ? [IDENTIFY, WATCH] : [WATCH]];
}

function nextBaud(state: LinkState): number {
  return state.baudRates.length === 0 ? 0 : (state.baudIndex + 1) % state.baudRates.length;
}

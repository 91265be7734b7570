import type { CaptureSummary } from '../../server/contract/captures.ts';
import type { LiveMessage, SourceState, Update } from '../../server/contract/live.ts';
import type { PracticeState } from '../../server/contract/practice.ts';
import type { Setup } from '../../server/contract/setup.ts';

/** Everything the screen knows of the program. `null` until it is told. */
export interface LiveState {
  readonly serverStartId: string | null;
  readonly softwareVersion: string | null;
  readonly liveVersion: number | null;
  readonly source: SourceState | null;
  readonly setup: Setup | null;
  readonly update: Update | null;
  readonly captures: readonly CaptureSummary[];
  readonly practice: PracticeState | null;
}

export const NOTHING_KNOWN: LiveState = {
  serverStartId: null,
  softwareVersion: null,
  liveVersion: null,
  source: null,
  setup: null,
  update: null,
  captures: [],
  practice: null,
};

/** What is known after a message. A program that was started anew is another program: all that was known goes. */
export function applyMessage(state: LiveState, message: LiveMessage): LiveState {
  switch (message.type) {
    case 'hello': {
      const kept = message.serverStartId === state.serverStartId ? state : NOTHING_KNOWN;
      const { serverStartId, softwareVersion, liveVersion } = message;
      return { ...kept, serverStartId, softwareVersion, liveVersion };
    }
    case 'snapshot': {
      const { source, setup, update, captures, practice } = message;
      return { ...state, source, setup, update, captures, practice };
    }
    case 'update':
      return { ...state, update: message };
    case 'pulses':
      return state;
    case 'event':
      switch (message.event) {
        case 'source':
          return { ...state, source: message.source };
        case 'setup':
          return { ...state, setup: message.setup };
        case 'practice':
          return { ...state, practice: message.practice };
        case 'capture':
          return { ...state, captures: withCapture(state.captures, message.capture) };
      }
  }
}

/** As many as a program that was just asked lists; a page that stays open for months keeps no more. */
export const MOST_CAPTURES = 200;

/** Newest first, each once. */
export function withCapture(
  list: readonly CaptureSummary[],
  capture: CaptureSummary,
): readonly CaptureSummary[] {
  const others = list.filter((known) => known.id !== capture.id);
  return [...others, capture].sort((a, b) => b.startedAtMs - a.startedAtMs).slice(0, MOST_CAPTURES);
}

import { reconnectDelayMs } from './reconnect-delay.ts';

/** The life of the connection to the program, as a pure function of what happens to it. */
export interface LinkState {
  readonly phase: 'idle' | 'connecting' | 'open' | 'waiting';
  /** Tries since a message last came. */
  readonly attempt: number;
}

export type LinkEvent =
  | { readonly type: 'start' }
  /** A message came: the connection is good. */
  | { readonly type: 'message' }
  | { readonly type: 'closed'; readonly chance: number }
  | { readonly type: 'wait-over' }
  /** The page is looked at again or the network came back: no reason to wait any longer. */
  | { readonly type: 'wake' }
  /** The socket says that it is open but nothing comes through it. */
  | { readonly type: 'silent' };

export type LinkEffect =
  | { readonly type: 'connect' }
  | { readonly type: 'drop' }
  | { readonly type: 'wait'; readonly delayMs: number }
  | { readonly type: 'cancel-wait' };

export const IDLE_LINK: LinkState = { phase: 'idle', attempt: 0 };

export function linkStep(state: LinkState, event: LinkEvent): readonly [LinkState, readonly LinkEffect[]] {
  switch (event.type) {
    case 'start':
      return state.phase === 'idle'
        ? [{ phase: 'connecting', attempt: 0 }, [{ type: 'connect' }]]
        : [state, []];
    case 'message':
      return state.phase === 'connecting' ? [{ phase: 'open', attempt: 0 }, []] : [state, []];
    case 'closed': {
      if (state.phase === 'idle' || state.phase === 'waiting') return [state, []];
      const delayMs = reconnectDelayMs(state.attempt, event.chance);
      return [{ phase: 'waiting', attempt: state.attempt + 1 }, [{ type: 'wait', delayMs }]];
    }
    case 'wait-over':
      return state.phase === 'waiting'
        ? [{ phase: 'connecting', attempt: state.attempt }, [{ type: 'connect' }]]
        : [state, []];
    case 'wake':
      return state.phase === 'waiting'
        ? [{ phase: 'connecting', attempt: 0 }, [{ type: 'cancel-wait' }, { type: 'connect' }]]
        : [state, []];
    case 'silent':
      return state.phase === 'connecting' || state.phase === 'open'
        ? [{ phase: 'connecting', attempt: state.attempt }, [{ type: 'drop' }, { type: 'connect' }]]
        : [state, []];
  }
}

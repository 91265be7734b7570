import type { LiveMessage } from '../../server/contract/live.ts';
import { IDLE_LINK, type LinkEffect, type LinkEvent, linkStep } from './link-machine.ts';
import { readMessage } from './read-message.ts';

/** Silence after which the program is asked over HTTP whether it is there [ms]. */
const ASK_AFTER_MS = 4_000;
const ASK_TIMEOUT_MS = 3_000;
/** A connection that is neither made nor refused by then is given up [ms]. */
const CONNECT_TIMEOUT_MS = 6_000;
const LOOK_EVERY_MS = 500;
/** A page in sight whose clock has stood still for so long has slept: what waits in its socket is old [ms]. */
const SLEPT_MS = 5_000;
/** WebSocket close code 'try again later' (IANA registry of RFC 6455). */
const TRY_AGAIN_LATER = 1013;

export interface LiveLinkListener {
  onMessage(message: LiveMessage): void;
  onPhase(phase: 'connecting' | 'open' | 'waiting'): void;
  /** The page was asleep, or falls asleep: what it shows is no reading any more. */
  onAsleep(): void;
  /** The program has as many viewers as it takes. */
  onCrowded(): void;
}

/** Keeps a WebSocket to the program alive for ever and hands over what it says. */
export function startLiveLink(listener: LiveLinkListener): void {
  let state = IDLE_LINK;
  let socket: WebSocket | null = null;
  let waitTimer: ReturnType<typeof setTimeout> | undefined;
  let lastHeardAt = performance.now();
  let asking = false;
  let awakeAtMs = Date.now();

  function happen(event: LinkEvent): void {
    const [next, effects] = linkStep(state, event);
    const changed = next.phase !== state.phase;
    state = next;
    if (changed && next.phase !== 'idle') listener.onPhase(next.phase);
    for (const effect of effects) carryOut(effect);
  }

  function carryOut(effect: LinkEffect): void {
    switch (effect.type) {
      case 'connect':
        connect();
        return;
      case 'drop':
        drop();
        return;
      case 'wait':
        waitTimer = setTimeout(() => happen({ type: 'wait-over' }), effect.delayMs);
        return;
      case 'cancel-wait':
        clearTimeout(waitTimer);
    }
  }

  function connect(): void {
    lastHeardAt = performance.now();
    const opened = new WebSocket(liveAddress(location.href));
    socket = opened;
    opened.onmessage = ({ data }) => {
      if (socket !== opened) return;
      // What the socket has kept since then would be shown as if it were new.
      if (hasSlept()) return wakeUp();
      lastHeardAt = performance.now();
      happen({ type: 'message' });
      const message = readMessage(data);
      if (message !== null) listener.onMessage(message);
    };
    opened.onclose = ({ code }) => {
      if (socket !== opened) return;
      socket = null;
      if (code === TRY_AGAIN_LATER) listener.onCrowded();
      happen({ type: 'closed', chance: Math.random() });
    };
  }

  function drop(): void {
    const dropped = socket;
    socket = null;
    dropped?.close();
  }

  /** A sleep or a dead network leaves a socket that looks open. While the board is lost the program says nothing either. */
  async function look(): Promise<void> {
    if (hasSlept()) return wakeUp();
    awakeAtMs = Date.now();
    const silentMs = performance.now() - lastHeardAt;
    if (state.phase === 'connecting' && silentMs > CONNECT_TIMEOUT_MS) return happen({ type: 'silent' });
    if (state.phase !== 'open' || silentMs < ASK_AFTER_MS || asking) return;
    asking = true;
    const there = await programAnswers();
    asking = false;
    if (there) lastHeardAt = performance.now();
    else happen({ type: 'silent' });
  }

  /** Out of sight the timers of a page may be slow without its sleeping. */
  function hasSlept(): boolean {
    return document.visibilityState === 'visible' && Date.now() - awakeAtMs > SLEPT_MS;
  }

  function wakeUp(): void {
    awakeAtMs = Date.now();
    listener.onAsleep();
    happen({ type: 'silent' });
  }

  const wake = () => happen({ type: 'wake' });
  // Page Lifecycle: the browser stops a page to save power, and lets it go on where it was.
  document.addEventListener('freeze', () => listener.onAsleep());
  document.addEventListener('resume', wakeUp);
  document.addEventListener('visibilitychange', () => {
    if (document.visibilityState === 'visible') wake();
  });
  window.addEventListener('online', wake);
  window.addEventListener('pageshow', wake);
  setInterval(() => void look(), LOOK_EVERY_MS);
  happen({ type: 'start' });
}

/** The address of the live messages beside the page. */
export function liveAddress(page: string): string {
  const address = new URL('live', page);
  address.protocol = address.protocol === 'https:' ? 'wss:' : 'ws:';
  address.hash = '';
  return address.href;
}

async function programAnswers(): Promise<boolean> {
  try {
    const answer = await fetch('api/health', {
      signal: AbortSignal.timeout(ASK_TIMEOUT_MS),
      cache: 'no-store',
    });
    return answer.ok;
  } catch {
    return false;
  }
}

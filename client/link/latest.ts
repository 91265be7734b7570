import { batch, computed, signal } from '@preact/signals';
import type { LiveMessage, Pulses, Update } from '../../server/contract/live.ts';
import { startLiveLink } from './live-link.ts';
import { applyMessage, type LiveState, NOTHING_KNOWN } from './live-state.ts';
import { LIVE_VERSION } from './read-message.ts';

/** Without an update for this long there is no reading, only a memory of one [ms]. */
export const STALE_AFTER_MS = 1_000;
const LOOK_EVERY_MS = 100;

const state = signal<LiveState>(NOTHING_KNOWN);

export const connection = signal<'connecting' | 'open' | 'waiting'>('connecting');
/** True while the program refuses this screen because too many are connected. */
export const crowded = signal(false);
/** True while no update has come for a second. */
export const stale = signal(true);
export const pulses = signal<Pulses | null>(null);

export const source = computed(() => state.value.source);
export const setup = computed(() => state.value.setup);
export const captures = computed(() => state.value.captures);
export const practice = computed(() => (state.value.source?.practice ? state.value.practice : null));
export const serverStartId = computed(() => state.value.serverStartId);
export const softwareVersion = computed(() => state.value.softwareVersion);
/** The newest reading, or null when there is none that is fresh. */
export const update = computed(() => (stale.value ? null : state.value.update));
export const runningCapture = computed(
  () => captures.value.find((capture) => capture.state === 'recording') ?? null,
);
export const wrongVersion = computed(() => {
  const { liveVersion } = state.value;
  return liveVersion !== null && liveVersion !== LIVE_VERSION;
});

/** The capture that starts and ends by itself, or null. */
export const plannedCapture = computed(() => update.value?.plannedCapture ?? null);
/** Half-width of the band at the speed at which the engine runs [kPa]. */
export const toleranceKpa = computed(
  () => update.value?.advice?.toleranceKpa ?? setup.value?.toleranceKpa ?? 1,
);

type UpdateListener = (update: Update | null) => void;
const listeners = new Set<UpdateListener>();

/** Calls with each reading as it comes, and once with null when readings stop. */
export function onUpdate(listener: UpdateListener): () => void {
  listeners.add(listener);
  return () => listeners.delete(listener);
}

export function startLatest(): void {
  let updatedAt = Number.NEGATIVE_INFINITY;

  startLiveLink({
    onMessage: (message) => {
      batch(() => take(message));
      if (message.type === 'update') {
        updatedAt = performance.now();
        for (const listener of listeners) listener(message);
      }
    },
    onPhase: (phase) => {
      connection.value = phase;
      if (phase === 'open') crowded.value = false;
    },
    onAsleep: goStale,
    onCrowded: () => {
      crowded.value = true;
    },
  });

  setInterval(() => {
    if (!stale.value && performance.now() - updatedAt > STALE_AFTER_MS) goStale();
  }, LOOK_EVERY_MS);
}

function take(message: LiveMessage): void {
  const startId = state.value.serverStartId;
  state.value = applyMessage(state.value, message);
  if (message.type === 'pulses') pulses.value = message;
  if (message.type === 'update') stale.value = false;
  if (message.type === 'hello' && startId !== null && startId !== message.serverStartId) goStale();
}

function goStale(): void {
  batch(() => {
    stale.value = true;
    pulses.value = null;
    for (const listener of listeners) listener(null);
  });
}

/** A change that the program has agreed to; its event may come a moment later. */
export function takeAnswer(message: LiveMessage): void {
  state.value = applyMessage(state.value, message);
}

import { effect, signal } from '@preact/signals';
import { source } from '../link/latest.ts';

/** Whether the screen is kept from going dark, as a sentence. */
export const wakeLockWords = signal('');

const CANNOT = 'This browser cannot keep the screen awake: set the computer not to sleep.';

/** Keeps the screen awake while a board is live, where the browser allows it. The system may take it away at any time. */
export function keepAwake(): void {
  if (!('wakeLock' in navigator)) {
    wakeLockWords.value = CANNOT;
    return;
  }
  let lock: WakeLockSentinel | null = null;
  let asking = false;

  async function follow(): Promise<void> {
    const wanted = source.value?.link === 'live' && document.visibilityState === 'visible';
    if (!wanted) {
      await lock?.release();
      lock = null;
      wakeLockWords.value = 'The screen is kept awake while a board is live.';
      return;
    }
    if (lock !== null || asking) return;
    asking = true;
    try {
      lock = await navigator.wakeLock.request('screen');
      lock.addEventListener('release', () => {
        lock = null;
      });
      wakeLockWords.value = 'The screen is being kept awake.';
    } catch {
      wakeLockWords.value = CANNOT;
    }
    asking = false;
  }

  document.addEventListener('visibilitychange', () => void follow());
  effect(() => {
    source.value?.link;
    void follow();
  });
}

import { signal } from '@preact/signals';
import { update } from '../link/latest.ts';
import { chosenUnit } from '../units/chosen-unit.ts';
import { type Spoken, spokenGap, timeToSay } from './spoken-gap.ts';

/** Off on every visit, like the ear cue: a browser says nothing before it is tapped. */
export const speechOn = signal(false);
/** Set when the browser has no voice. */
export const speechTrouble = signal('');

const LOOK_EVERY_MS = 200;
let last: Spoken | null = null;

export function toggleSpeech(): void {
  if (!('speechSynthesis' in window)) {
    speechTrouble.value = 'This browser cannot speak.';
    return;
  }
  speechOn.value = !speechOn.value;
  last = null;
  if (!speechOn.value) window.speechSynthesis.cancel();
}

/** Says what is measured now, not what a frozen screen shows, and no faster than it can be listened to. */
export function followSpeech(): void {
  setInterval(() => {
    if (!speechOn.peek()) return;
    const text = spokenGap(update.peek(), chosenUnit.peek());
    if (text === null) {
      // A figure that is no longer measured is not finished either.
      if (last !== null) window.speechSynthesis.cancel();
      last = null;
      return;
    }
    const nowMs = performance.now();
    if (!timeToSay(last, text, nowMs)) return;
    last = { text, atMs: nowMs };
    window.speechSynthesis.cancel();
    const words = new SpeechSynthesisUtterance(text);
    words.lang = 'en';
    window.speechSynthesis.speak(words);
  }, LOOK_EVERY_MS);
}

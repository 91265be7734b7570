import { effect, signal } from '@preact/signals';
import { toleranceKpa, update } from '../link/latest.ts';
import { storedChoice } from '../settings/stored-choice.ts';
import { type Cue, cueOf, SILENCE } from './cue.ts';
import { type EarTones, makeEarTones } from './ear-tones.ts';

/** A browser sounds nothing before it is tapped, so the cue starts off on every visit. */
export const earOn = signal(false);
/** 0 … 1, remembered. */
export const volume = storedChoice<number>(
  'volume',
  (text) => {
    const value = text === null ? Number.NaN : Number(text);
    return value >= 0 && value <= 1 ? value : 0.6;
  },
  String,
);
export const cue = signal<Cue>(SILENCE);
/** Set when the browser has no sound or refuses it. */
export const earTrouble = signal('');

let context: AudioContext | null = null;
let tones: EarTones | null = null;

export function toggleEar(): void {
  earOn.value = !earOn.value;
  if (!earOn.value) return;
  try {
    context ??= new AudioContext();
    tones ??= makeEarTones(context);
    earTrouble.value = '';
    context.resume().catch(silent);
  } catch {
    silent();
  }
}

function silent(): void {
  earOn.value = false;
  earTrouble.value = 'This browser cannot make sound.';
}

/** Keeps what is heard in step with the reading, not with a frozen screen. */
export function followEar(): void {
  effect(() => {
    cue.value = cueOf(update.value, toleranceKpa.value);
  });
  effect(() => {
    const wanted = earOn.value ? cue.value : SILENCE;
    if (context !== null && tones !== null) tones.set(wanted, volume.value, context.currentTime);
  });
}

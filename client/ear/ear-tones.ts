import { MIDDLE_TONE_HZ, toneFrequencies } from './beat-law.ts';
import type { Cue } from './cue.ts';

/** Time constant of every change [s]: quick enough to follow a screw, slow enough not to click. */
const GLIDE_S = 0.04;
/** How far apart the two tones sit between the ears, 0 … 1. Both ears hear both, or there would be no beat. */
const APART = 0.45;
/** Two tones together must not overload what one alone fills. */
const TONE_LEVEL = 0.45;

export interface EarTones {
  /** @param volume 0 … 1 */
  set(cue: Cue, volume: number, atS: number): void;
}

/** Two tones that beat against each other, or one steady one. Works on any audio context, offline ones included. */
export function makeEarTones(context: BaseAudioContext): EarTones {
  const master = context.createGain();
  master.gain.value = 0;
  master.connect(context.destination);
  const first = tone(context, master, -APART);
  const second = tone(context, master, APART);

  return {
    set(cue, volume, atS) {
      const glide = (param: AudioParam, value: number) => param.setTargetAtTime(value, atS, GLIDE_S);
      glide(master.gain, cue.beatHz === null ? 0 : volume * volume);
      if (cue.beatHz === null) return;
      const steady = cue.beatHz === 0;
      const [firstHz, secondHz] = steady
        ? [MIDDLE_TONE_HZ, MIDDLE_TONE_HZ]
        : toneFrequencies(cue.beatHz, cue.firstPullsMore);
      glide(first.oscillator.frequency, firstHz);
      glide(second.oscillator.frequency, secondHz);
      // Two equal tones in whatever phase they stopped in could cancel: inside the band only one is left.
      glide(first.gain.gain, steady ? 2 * TONE_LEVEL : TONE_LEVEL);
      glide(second.gain.gain, steady ? 0 : TONE_LEVEL);
      glide(first.pan.pan, steady ? 0 : -APART);
    },
  };
}

function tone(context: BaseAudioContext, target: AudioNode, where: number) {
  const oscillator = context.createOscillator();
  const gain = context.createGain();
  const pan = context.createStereoPanner();
  oscillator.frequency.value = MIDDLE_TONE_HZ;
  gain.gain.value = TONE_LEVEL;
  pan.pan.value = where;
  oscillator.connect(gain).connect(pan).connect(target);
  oscillator.start();
  return { oscillator, gain, pan };
}

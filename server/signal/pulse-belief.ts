/**
 * Whether a measured pulse is believed. A weak or strange one can be fitted almost anywhere; one that lies far from its
 * forecast is believed only if it is strong and the next pulse, of another cylinder, lies off to the same side: then it
 * is the speed that changed.
 */
import type { CrankClock } from './crank-clock.ts';
import type { CycleLock } from './cycle-lock.ts';
import type { PulseFit } from './pulse-fit.ts';
import type { PulseFollower } from './pulse-follower.ts';

/** A pulse is believed from this gain and this explained part on. */
const LEAST_GAIN = 0.35;
const LEAST_EXPLAINED = 0.35;
/** A pulse this far from its forecast is far [cycles, and standard deviations of the forecast] ... */
const FAR_CYCLES = 0.06;
const FAR_SIGMAS = 5;
/** ... and must be this strong and clear to be believed. */
const FAR_GAIN = 0.5;
const FAR_EXPLAINED = 0.6;

/**
 * @param knownS the samples are known up to here [s]
 * @param lookAhead part of a cycle behind an expected fall that must be known for it to be measured
 * @returns 'wait' when the samples of the next pulse are not there yet
 */
export function pulseBelief(
  lock: CycleLock,
  follower: PulseFollower,
  fit: PulseFit,
  knownS: number,
  lookAhead: number,
): 'believed' | 'refused' | 'wait' {
  if (fit.gain < LEAST_GAIN || fit.explained < LEAST_EXPLAINED) return 'refused';
  const side = farSide(fit, lock.clock);
  if (side === 0 || lock.rehearsal || lock.successes === 0) return 'believed';
  if (fit.gain < FAR_GAIN || fit.explained < FAR_EXPLAINED) return 'refused';
  const other = lock.followers.next(true, follower);
  if (other === null) return 'believed';
  const { periodS } = lock.clock;
  const expectedS = lock.clock.timeOfPhase(other.nextPhase);
  if (knownS < expectedS + lookAhead * periodS) return 'wait';
  const second = other.fit(expectedS, periodS);
  const seconded =
    second !== null &&
    second.gain >= FAR_GAIN &&
    second.explained >= FAR_EXPLAINED &&
    farSide(second, lock.clock) === side;
  return seconded ? 'believed' : 'refused';
}

/** -1 or 1 when a pulse is far too early or too late for its forecast, else 0. */
function farSide(fit: PulseFit, clock: CrankClock): number {
  const far = Math.max(FAR_CYCLES, (FAR_SIGMAS * clock.forecastSd) / clock.periodS);
  if (Math.abs(fit.shift) <= far && fit.speedRatio === 1) return 0;
  return Math.sign(fit.shift) || Math.sign(1 - fit.speedRatio);
}

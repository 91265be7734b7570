/**
 * Key-off check: the engine stands, all hoses are on, and every port is at the air's pressure. A channel that says
 * something else has a zero that is off; where nothing moves but the barometric pressure is missed by all alike, it is the
 * barometric pressure that is entered wrong.
 */
import { COVERAGE_FACTOR } from '../../../calibration/uncertainty.ts';
import type { CheckVerdict, Figure } from '../check-verdict.ts';

export interface KeyOffInput {
  /** Absolute pressure of each channel over a second or more [kPa]; NaN where a sample is missing. */
  readonly kpa: readonly ArrayLike<number>[];
  readonly barometricKpa: Figure;
  /** Standard uncertainty of each channel's calibration [kPa]. */
  readonly channelUncertaintyKpa: readonly number[];
}

export interface KeyOffChannel {
  /** 0-based. */
  readonly channel: number;
  /** 'found': its zero is off. */
  readonly verdict: CheckVerdict;
  readonly reason: KeyOffReason | null;
  readonly whatToDo: string;
  /** Standard uncertainties between its pressure and the barometric. */
  readonly strength: number | null;
  /** Over the barometric pressure [kPa]. */
  readonly offsetKpa: Figure | null;
}

export type KeyOffReason = 'too-few-samples' | 'not-still' | 'barometric-off';

export interface KeyOffResult {
  readonly channels: readonly KeyOffChannel[];
  /** Offsets of the channels against each other: largest less smallest [kPa]. */
  readonly spreadKpa: number | null;
  readonly whatToDo: string;
}

const FEWEST_SAMPLES = 20;
/** A still port moves less, sensor noise included; an idling engine's by ten and more [kPa]. */
const STILL_KPA = 2;
/** Smaller than this an offset does not matter, however sure [kPa]. */
const WORTH_KPA = 0.3;

/** @throws RangeError when channels and uncertainties are not equally many */
export function keyOffCheck({ kpa, barometricKpa, channelUncertaintyKpa }: KeyOffInput): KeyOffResult {
  if (kpa.length !== channelUncertaintyKpa.length)
    throw new RangeError(`${kpa.length} channels and ${channelUncertaintyKpa.length} uncertainties`);
  const means = kpa.map(meanOf);
  const untoldBy = (reason: KeyOffReason): KeyOffResult => ({
    channels: kpa.map((_, channel) => untold(channel, reason, null)),
    spreadKpa: null,
    whatToDo: REASONS[reason],
  });
  if (means.some((one) => one.moved > STILL_KPA)) return untoldBy('not-still');
  if (means.every((one) => one.count < FEWEST_SAMPLES)) return untoldBy('too-few-samples');
  const offsets = means.map((one, channel): Figure | null => {
    if (one.count < FEWEST_SAMPLES) return null;
    const own = channelUncertaintyKpa[channel]!;
    return {
      value: one.mean - barometricKpa.value,
      standardUncertainty: Math.hypot(own, barometricKpa.standardUncertainty),
    };
  });
  const known = offsets.filter((offset) => offset !== null);
  const values = known.map(({ value }) => value);
  const spreadKpa = Math.max(...values) - Math.min(...values);
  const least = Math.min(...known.map((offset) => past(offset)));
  const own = Math.max(...channelUncertaintyKpa);
  const sameSide = values.every((value) => value > 0) || values.every((value) => value < 0);
  // Sensors do not drift alike by chance: two or more off by the same is the barometric pressure.
  const allAlike =
    known.length > 1 && least > 0 && sameSide && spreadKpa <= Math.max(WORTH_KPA, COVERAGE_FACTOR * own);
  const channels = offsets.map((offset, channel): KeyOffChannel => {
    if (offset === null) return untold(channel, 'too-few-samples', null);
    if (allAlike) return untold(channel, 'barometric-off', offset);
    const off = past(offset) > 0;
    return {
      channel,
      verdict: off ? 'found' : 'not-found',
      reason: null,
      whatToDo: off ? OFF : AGREES,
      strength: Math.abs(offset.value) / Math.max(1e-9, offset.standardUncertainty),
      offsetKpa: offset,
    };
  });
  const first = channels.find(({ verdict }) => verdict !== 'not-found');
  return { channels, spreadKpa, whatToDo: (first ?? channels[0]!).whatToDo };
}

/** How far beyond what can be explained [kPa]. */
function past({ value, standardUncertainty }: Figure): number {
  return Math.abs(value) - Math.max(WORTH_KPA, COVERAGE_FACTOR * standardUncertainty);
}

function meanOf(values: ArrayLike<number>): { mean: number; count: number; moved: number } {
  let sum = 0;
  let count = 0;
  let low = Number.POSITIVE_INFINITY;
  let high = Number.NEGATIVE_INFINITY;
  for (let at = 0; at < values.length; at++) {
    const value = values[at]!;
    if (value - value !== 0) continue;
    sum += value;
    count++;
    low = Math.min(low, value);
    high = Math.max(high, value);
  }
  return { mean: sum / count, count, moved: count === 0 ? 0 : high - low };
}

const OFF =
  'Its zero is off: see that its hose is not kinked and no vacuum is trapped in it, let the sensor warm up, then set its zero or calibrate it before comparing.';
const AGREES = 'It reads the air’s pressure within its uncertainty.';
const REASONS: Record<KeyOffReason, string> = {
  'too-few-samples': 'No samples came from this channel: check its sensor, then repeat.',
  'not-still': 'The pressure moves: stop the engine, wait until it stands, then repeat.',
  'barometric-off':
    'All channels are off the barometric pressure by the same amount: set that pressure anew from a barometer at this place, or take it from the still ports.',
};

function untold(channel: number, reason: KeyOffReason, offsetKpa: Figure | null): KeyOffChannel {
  return { channel, verdict: 'cannot-tell', reason, whatToDo: REASONS[reason], strength: null, offsetKpa };
}

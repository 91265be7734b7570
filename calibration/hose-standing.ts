/** Whether every hose follows the common source, told from the whole record before any step is looked for. */
import type { Block } from './block-means.ts';
import { type CalibrationRefusal, refused } from './calibration-refusals.ts';
import { fitLine } from './linear-regression.ts';

/** With less movement nothing can be said of who follows [kPa]. */
const LEAST_MOVEMENT_KPA = 10;
/** A hose that moves by a smaller share than this does not move. */
const FLAT_SHARE = 0.05;
/** A flat hose within this of the highest pressure of the others reads the air: it is off [kPa]. */
const AIR_WITHIN_KPA = 5;
/** Share of a hose's movement that the others must explain. */
const LEAST_R_SQUARED = 0.985;

/** @returns the worst hose, or null when all follow or nothing moves */
export function hoseThatStandsApart(blocks: readonly Block[]): CalibrationRefusal | null {
  const known = blocks.filter(({ channelKpa }) => channelKpa.every(Number.isFinite));
  const channels = known[0]?.channelKpa.length ?? 0;
  if (channels < 2) return null;
  let worst: { channel: number; rSquared: number } | null = null;
  for (let channel = 0; channel < channels; channel++) {
    const own = known.map(({ channelKpa }) => channelKpa[channel]!);
    const others = known.map(({ channelKpa }) => medianWithout(channelKpa, channel));
    const moved = rangeOf(others);
    if (moved < LEAST_MOVEMENT_KPA) continue;
    if (rangeOf(own) < FLAT_SHARE * moved) {
      const level = own.reduce((sum, value) => sum + value, 0) / own.length;
      const detail = `stays at ${level.toFixed(1)} kPa while the others move by ${moved.toFixed(1)} kPa`;
      const air = Math.max(...others);
      return Math.abs(level - air) <= AIR_WITHIN_KPA
        ? refused('match-channel-apart', detail, channel)
        : refused('match-channel-dead', detail, channel);
    }
    const { rSquared } = fitLine(others, own);
    if (rSquared < LEAST_R_SQUARED && (worst === null || rSquared < worst.rSquared))
      worst = { channel, rSquared };
  }
  if (worst === null) return null;
  const detail = `r² ${worst.rSquared.toFixed(3)} against the others`;
  // Of two hoses neither can be told to be the wrong one.
  return refused('match-channel-apart', detail, channels === 2 ? null : worst.channel);
}

function medianWithout(values: readonly number[], left: number): number {
  const others = values.filter((_, index) => index !== left).sort((a, b) => a - b);
  const middle = others.length >> 1;
  return others.length % 2 === 1 ? others[middle]! : (others[middle - 1]! + others[middle]!) / 2;
}

function rangeOf(values: readonly number[]): number {
  return Math.max(...values) - Math.min(...values);
}

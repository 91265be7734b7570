/**
 * What the pattern of an unquiet idle commonly points to. Common practice without a source: a place to look first, no
 * diagnosis.
 */
import type { RoughnessFigures } from '../reading.ts';

export interface IdleHint {
  readonly id: string;
  /** What is seen, with its figure. */
  readonly seen: string;
  /** A sentence with 'commonly points to'. */
  readonly pointsTo: string;
}

/** Missed or weak pulses a minute from which they are spoken of. */
export const MISSED_PER_MINUTE = 2;
/** Figures from which the other patterns are. */
const ALONE_SHARE = 0.75;
const HUNTING_PERCENT = 1.5;
const SLOW_HUNTING_S = 3;
const DEPTH_COV_PERCENT = 12;
const DEPTH_RATIO = 2;
const CHOPPINESS_PERCENT = 4;

/** @param idleRpm mean speed of the same record; null when it is not known */
export function idleHints(figures: RoughnessFigures, idleRpm: number | null): IdleHint[] {
  const hints: IdleHint[] = [];
  const missed = figures.perCylinder.map(({ missedPerMinute }) => missedPerMinute ?? 0);
  const sum = missed.reduce((a, b) => a + b, 0);
  const most = missed.indexOf(Math.max(...missed));
  if (sum >= MISSED_PER_MINUTE) {
    const alone = missed.length > 1 && missed[most]! >= ALONE_SHARE * sum;
    hints.push(
      alone
        ? {
            id: 'one-misses',
            seen: `Cylinder ${most + 1} has nearly all missed or weak pulses: ${missed[most]!.toFixed(1)} a minute.`,
            pointsTo:
              'One cylinder alone commonly points to its own valve clearance, plug, cap or lead, pilot jet or boot.',
          }
        : {
            id: 'all-miss',
            seen: `Missed or weak pulses come in several cylinders: ${sum.toFixed(1)} a minute together.`,
            pointsTo:
              'Trouble spread over several cylinders commonly points to what they share: mixture, fuel supply, ignition supply, filter, or an idle set too low.',
          },
    );
  }
  const { hunting } = figures;
  if (hunting !== null && idleRpm !== null && (100 * hunting.amplitudeRpm) / idleRpm >= HUNTING_PERCENT) {
    const slow = hunting.periodS >= SLOW_HUNTING_S;
    hints.push({
      id: slow ? 'hunts-slowly' : 'hunts',
      seen: `The speed swings by ${hunting.amplitudeRpm.toFixed(0)} r/min every ${hunting.periodS.toFixed(1)} s.`,
      pointsTo: slow
        ? 'A slow swing commonly points to fuel level or supply, or an idle control that hunts.'
        : 'A regular swing commonly points to a lean idle mixture or air that leaks in.',
    });
  }
  const covs = figures.perCylinder.map(({ depthCovPercent }) => depthCovPercent);
  const known = covs.filter((cov) => cov !== null).sort((a, b) => a - b);
  const worst = known.at(-1);
  if (known.length > 1 && worst !== undefined && worst >= DEPTH_COV_PERCENT) {
    const middle = known[(known.length - 1) >> 1]!;
    if (worst > DEPTH_RATIO * middle)
      hints.push({
        id: 'one-scatters',
        seen: `The pulses of cylinder ${covs.indexOf(worst) + 1} scatter by ${worst.toFixed(0)} %, the others’ by about ${middle.toFixed(0)} %.`,
        pointsTo:
          'Scatter in one cylinder alone commonly points to an intake valve that does not seat every time, or to a clearance that is too tight.',
      });
  }
  const chop = figures.choppinessPercent;
  if (hints.length === 0 && chop !== null && chop >= CHOPPINESS_PERCENT)
    hints.push({
      id: 'uneven',
      seen: `Cycles differ by ${chop.toFixed(1)} % from one to the next, in no order.`,
      pointsTo:
        'Unevenness without missed pulses commonly points to a weak or lean mixture, ignition timing, or an idle set low.',
    });
  return hints;
}

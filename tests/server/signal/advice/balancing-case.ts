import { AREA_PER_TURN } from '../../../../server/practice/engine-parameters.ts';
import { layoutById } from '../../../../server/practice/layouts.ts';
import { Random } from '../../../../server/practice/random.ts';
import { Advisor } from '../../../../server/signal/advice/advisor.ts';
import {
  baseAndScrews,
  type Linkage,
  oneScrewBetweenTwo,
  rackOfFour,
} from '../../../../server/signal/advice/linkage.ts';
import type { BalancingEngine } from './balancing-engine.ts';
import type { PracticeBalancingOptions } from './practice-balancing.ts';
import { KPA_PER_LOG_AREA } from './quick-engine.ts';
import { type BalancingRun, balanceByHand } from './sloppy-hand.ts';

export const TOLERANCE_KPA = 0.5;
export const MOST_APART_KPA = 8;
const SLOPPINESS = 0.3;
const IDLE_RPM = 1113;
const IDLE_BAND_RPM = 60;

export interface BalancingCase extends BalancingRun {
  readonly label: string;
}

/**
 * One set out of adjustment by up to 8 kPa between its extremes, balanced by a sloppy hand that follows the advice.
 * The seed decides how far and how it is out, the engine's scatter and the hand's errors.
 */
export function balancingCase(
  layout: string,
  seed: number,
  newEngine: (options: PracticeBalancingOptions) => BalancingEngine,
): BalancingCase {
  const random = new Random(seed).fork(77);
  const { cylinders } = layoutById(layout);
  const reference = random.uniform() < 0.5 ? 'mean' : 0;
  const apartKpa = TOLERANCE_KPA + (MOST_APART_KPA - TOLERANCE_KPA) * random.uniform();
  const mismatchTurns = mismatch(cylinders, apartKpa, random);
  const engine = newEngine({ layout, seed, mismatchTurns, reference, toleranceKpa: TOLERANCE_KPA });
  const advisor = new Advisor(linkageOf(layout), {
    reference,
    toleranceKpa: TOLERANCE_KPA,
    idleTargetRpm: IDLE_RPM,
    idleBandRpm: IDLE_BAND_RPM,
  });
  const setsIdle = random.uniform() < 0.5;
  const run = balanceByHand(engine, advisor, random, {
    reference,
    sloppiness: SLOPPINESS,
    blips: 0.3,
    setsIdle,
    idleRpm: IDLE_RPM,
  });
  const how = `${apartKpa.toFixed(1)} kPa apart, reference ${reference}, ${setsIdle ? 'sets idle' : 'leaves idle'}`;
  return { ...run, label: `${layout} seed ${seed}, ${how}` };
}

/** The linkage of a layout of the practice engine. */
export function linkageOf(layoutId: string): Linkage {
  const { cylinders, balanceScrews } = layoutById(layoutId);
  if (cylinders === 2) return oneScrewBetweenTwo();
  if (cylinders === 4) return rackOfFour();
  const base = Array.from({ length: cylinders }, (_, cyl) => cyl).find((cyl) =>
    balanceScrews.every(({ opens }) => opens[cyl] === 0),
  );
  return baseAndScrews(cylinders, base!);
}

/** Throttles out of adjustment so that the vacuums stand this far apart at the extremes [turns of the idle screw]. */
function mismatch(cylinders: number, apartKpa: number, random: Random): number[] {
  const raw = Array.from({ length: cylinders }, () => random.normal());
  const mean = raw.reduce((sum, value) => sum + value, 0) / cylinders;
  const scale = apartKpa / (Math.max(...raw) - Math.min(...raw));
  return raw.map((value) => (Math.exp((scale * (value - mean)) / KPA_PER_LOG_AREA) - 1) / AREA_PER_TURN);
}

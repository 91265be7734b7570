import type { TimeGrid } from './clean-run.ts';
import type { EngineSpec } from './engine-spec.ts';
import { cycleDegOf, rpmAt } from './engine-spec.ts';
import type { MissedPlan } from './missed-plan.ts';
import type { SeededRandom } from './seeded-random.ts';

export interface CrankRun {
  readonly angleDeg: Float64Array;
  /** Number of each tap's pulse, counted from angle 0, that is its first after time 0. */
  readonly firstEvent: readonly number[];
}

/** Crank angle over which a new impulse takes hold of the flywheel. */
const IMPULSE_SPREAD_DEG = 40;
/** A missed pulse's loss of speed is made up over about this much crank. */
const RECOVERY_DEG = 500;

/**
 * Crank angle of an engine whose speed is given anew by every firing: each holds until the next. Slow wander moves once
 * per cycle. A missed pulse slows the crank after it.
 */
export function crankByImpulses(
  spec: EngineSpec,
  grid: TimeGrid,
  missed: MissedPlan,
  random: SeededRandom,
): CrankRun {
  const cycleDeg = cycleDegOf(spec);
  const taps = spec.intakeAnglesDeg.length;
  const perCycle = taps + (spec.furtherPulsesDeg ?? []).reduce((n, list) => n + list.length, 0);
  // The mean of n independent firings must scatter as asked.
  const firingSd = (spec.cycleScatter ?? 0) * Math.sqrt(perCycle);
  const firings = spec.intakeAnglesDeg
    .flatMap((a, i) => [0, ...(spec.furtherPulsesDeg?.[i] ?? [])].map((b) => (a + b) % cycleDeg))
    .sort((a, b) => a - b);
  const wander = spec.wander ?? { sd: 0, correlation: 0 };
  const innovation = wander.sd * Math.sqrt(1 - wander.correlation ** 2);
  const ripple = spec.speedRipple ?? 0;
  const rippleOrder = (2 * Math.PI * perCycle) / cycleDeg;
  const slowdown = spec.missSlowdown ?? 0.015;
  const hunting = spec.hunting;
  const huntingPhase = random.uniform() * 2 * Math.PI;

  const angleDeg = new Float64Array(grid.points);
  const firstEvent: number[] = [];
  let angle = random.uniform() * cycleDeg;
  let nextFiring = 0;
  let firingBase = 0;
  let target = random.normal() * firingSd;
  let offset = target;
  let drift = random.normal() * wander.sd;
  let cyclesPassed = 0;
  let lost = 0;
  let baseRpm = 0;
  const nextEvent = spec.intakeAnglesDeg.map((a) => Math.ceil((angle - a) / cycleDeg));
  while (firingBase + firings[nextFiring]! < angle)
    [nextFiring, firingBase] = following(nextFiring, firingBase);

  for (let i = 0; i < grid.points; i++) {
    angleDeg[i] = angle;
    const timeS = grid.startS + i * grid.stepS;
    if (timeS >= 0 && firstEvent.length === 0) {
      for (const a of spec.intakeAnglesDeg) firstEvent.push(Math.ceil((angle - a) / cycleDeg));
    }
    // The given course of the speed is smooth: asking for it on every fourth point is enough.
    if ((i & 3) === 0) {
      baseRpm = rpmAt(spec, timeS);
      if (hunting) {
        baseRpm += hunting.amplitudeRpm * Math.sin((2 * Math.PI * timeS) / hunting.periodS + huntingPhase);
      }
    }
    while (angle >= firingBase + firings[nextFiring]!) {
      target = random.normal() * firingSd;
      [nextFiring, firingBase] = following(nextFiring, firingBase);
    }
    while (angle >= (cyclesPassed + 1) * cycleDeg) {
      drift = drift * wander.correlation + random.normal() * innovation;
      cyclesPassed++;
    }
    for (let tap = 0; tap < taps; tap++) {
      const event = nextEvent[tap]!;
      if (angle < spec.intakeAnglesDeg[tap]! + event * cycleDeg) continue;
      nextEvent[tap] = event + 1;
      const strength = firstEvent.length > 0 ? missed[tap]!.get(event - firstEvent[tap]!) : undefined;
      if (strength !== undefined) lost += slowdown * (1 - strength);
    }
    const shape = ripple === 0 ? 0 : ripple * Math.sin(rippleOrder * angle);
    const rpm = Math.max(baseRpm * (1 + offset + drift + shape - lost), 30);
    const turnedDeg = rpm * 6 * grid.stepS;
    offset += ((target - offset) * turnedDeg) / IMPULSE_SPREAD_DEG;
    lost -= (lost * turnedDeg) / RECOVERY_DEG;
    angle += turnedDeg;
  }
  return { angleDeg, firstEvent };

  function following(firing: number, base: number): [number, number] {
    return firing + 1 < firings.length ? [firing + 1, base] : [0, base + cycleDeg];
  }
}

import type { EngineSpec } from './engine-spec.ts';
import { cycleDegOf, DEFAULT_MISSED_STRENGTH } from './engine-spec.ts';
import type { SeededRandom } from './seeded-random.ts';

/** Strength left of each missed pulse, by channel and by the number of its cycle counted from time 0. */
export type MissedPlan = readonly ReadonlyMap<number, number>[];

const FASTEST_RPM = 9000;
/** Nothing can be known as missed before anything is known. */
const SPARED_CYCLES = 2;

export function missedPlan(spec: EngineSpec, random: SeededRandom): MissedPlan {
  const mostCycles = Math.ceil((spec.durationS * FASTEST_RPM * 6) / cycleDegOf(spec));
  const chance = spec.missedChance ?? 0;
  const strongest = spec.missedStrength ?? DEFAULT_MISSED_STRENGTH;
  return spec.intakeAnglesDeg.map((_, channel) => {
    const plan = new Map<number, number>();
    for (const miss of spec.missed ?? []) {
      if (miss.channel === channel) plan.set(miss.cycle, miss.strength);
    }
    if (chance > 0) {
      for (let cycle = SPARED_CYCLES; cycle < mostCycles; cycle++) {
        if (random.uniform() < chance) plan.set(cycle++, random.between(0, strongest));
      }
    }
    return plan;
  });
}

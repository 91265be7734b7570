import { describe, expect, it } from 'vitest';
import { Random } from '../../../../server/practice/random.ts';
import { Advisor } from '../../../../server/signal/advice/advisor.ts';
import { stopsAndCables, usualLinkage } from '../../../../server/signal/advice/linkage.ts';
import type { Settling } from '../../../../server/signal/reading.ts';
import { readingOf } from './reading-of.ts';

const SETTLINGS: readonly Settling[] = ['moving', 'settling', 'steady', 'steady', 'steady', 'steady'];

/** Readings of no engine in particular: jumps, losses, figures that are none, time that stands or runs back. */
function* wildReadings(cylinders: number, random: Random) {
  const pick = <T>(values: readonly T[]): T => values[Math.floor(values.length * random.uniform())]!;
  let timeS = 0;
  let gaps = Array.from({ length: cylinders }, () => random.normal());
  let cycles = 1;
  let speedRpm: number | null = 1100;
  for (let i = 0; i < 600; i++) {
    timeS = random.uniform() < 0.005 ? 0 : timeS + (random.uniform() < 0.03 ? 0 : 0.2 * random.uniform());
    const jumps = random.uniform() < 0.03;
    if (jumps) gaps = gaps.map((gap) => gap * random.normal() + random.normal());
    cycles = jumps ? 1 : Math.min(600, cycles + Math.floor(3 * random.uniform()));
    const lost = random.uniform() < 0.02 ? Math.floor(cylinders * random.uniform()) : -1;
    if (random.uniform() < 0.02) speedRpm = pick([null, 1100, 1100, 1100, 1150, 1300, 2300, 2300, 9000]);
    yield readingOf({
      timeS,
      gapsKpa: gaps.map((gap, cyl) =>
        cyl === lost ? pick([null, Number.NaN, Number.POSITIVE_INFINITY]) : gap,
      ),
      expandedKpa: pick([0, 1e-9, 0.05, 0.3, 40]),
      cycles,
      settling: jumps ? 'moving' : pick(SETTLINGS.slice(cycles > 8 ? 2 : 0)),
      speedRpm,
      swappedHoses: random.uniform() < 0.01 ? [[0, 1]] : null,
    });
  }
}

describe('an advisor fed with readings of no engine in particular', () => {
  const linkages = [2, 3, 4, 6, 8].map(usualLinkage);
  it.each(
    [...linkages, stopsAndCables(2), stopsAndCables(8)].flatMap((linkage) =>
      [1, 2].map((seed) => ({ linkage, seed })),
    ),
  )(
    '$linkage.kind with $linkage.cylinders cylinders, seed $seed: never breaks, and what it says hangs together',
    ({ linkage, seed }) => {
      const advisor = new Advisor(linkage, {
        reference: seed === 1 ? 'mean' : 0,
        toleranceKpa: 0.5,
        idleTargetRpm: 1100,
        idleBandRpm: 50,
        differenceUncertaintyKpa: Array.from({ length: linkage.cylinders }, () => 0.05),
      });
      const states = new Set<string>();
      for (const reading of wildReadings(linkage.cylinders, new Random(seed))) {
        advisor.push(reading);
        const { state, sentence, move, point } = advisor.advice();
        states.add(state);
        expect(sentence === null).toBe(state === 'waiting');
        expect(move !== null).toBe(state === 'find-out' || state === 'move');
        if (move === null) continue;
        expect(linkage.screws[move.screw]!.point).toBe(point);
        expect(sentence).toContain(move.screwName);
        expect(move.direction === 'either').toBe(move.fraction === null);
        expect(move.confidence).toBeGreaterThanOrEqual(0);
        expect(move.confidence).toBeLessThanOrEqual(1);
        if (move.fraction !== null) expect(move.fraction).toBeGreaterThan(0);
      }
      expect(states.has('waiting')).toBe(true);
      expect(states.size).toBeGreaterThan(1);
    },
  );
});

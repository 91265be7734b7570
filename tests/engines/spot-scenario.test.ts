import { expect, it } from 'vitest';
import { refillEngine } from './refill-engine.ts';
import { spotScenario } from './spot-scenario.ts';

it('moves the cylinder or the idle while a leaking spot is wetted, and neither at a sound one', () => {
  const base = { seed: 1, durationS: 1, sampleRateHz: 50, intakeAnglesDeg: [0, 180, 540, 360], rpm: 1000 };
  const { recording, spots } = spotScenario(refillEngine, base, { seed: 4, spots: 16, warmUpShare: 0 });
  expect(new Set(spots.map((s) => s.effect))).toEqual(new Set(['none', 'cylinder', 'idle']));
  const { truth } = recording;
  const [from, to] = [truth.cycleStartsS[0]![8]!, truth.cycleStartsS[0]![48]!];
  const restKpa = [0, 1, 2, 3].map((c) => truth.meanVacuumKpa(c, from, to));
  for (const spot of spots) {
    const at = spot.startS + 1;
    const moved = [0, 1, 2, 3].map((c) => {
      const end = truth.timeAtAngleDeg(truth.angleDegAt(at) + 10 * 720);
      return Math.abs(truth.meanVacuumKpa(c, at, end) - restKpa[c]!);
    });
    const idle = Math.abs(truth.meanRpm(at, at + 1.5) / 1000 - 1);
    expect(Math.max(...moved)).toBeCloseTo(
      spot.effect === 'cylinder' ? 0.5 : 0,
      spot.effect === 'idle' ? -1 : 1,
    );
    expect(idle).toBeCloseTo(spot.effect === 'idle' ? 0.01 : 0, 3);
  }
});

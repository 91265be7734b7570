import type { TimeGrid } from './clean-run.ts';
import type { CrankRun } from './crank-by-impulses.ts';
import { cycleDegOf, type EngineSpec, rpmAt } from './engine-spec.ts';
import type { SeededRandom } from './seeded-random.ts';

const NODES_PER_CYCLE = 4;

/**
 * Crank angle of an engine whose speed is smooth: chance moves it along straight lines between nodes, a quarter of a
 * cycle apart, over which lie a ripple of two orders, hunting, and the asked course.
 */
export function crankByWaves(spec: EngineSpec, grid: TimeGrid, random: SeededRandom): CrankRun {
  const cycleDeg = cycleDegOf(spec);
  const taps = spec.intakeAnglesDeg.length;
  const wander = spec.wander ?? { sd: 0, correlation: 0 };
  const rhoPerNode = wander.correlation ** (1 / NODES_PER_CYCLE);
  const innovation = wander.sd * Math.sqrt(1 - rhoPerNode * rhoPerNode);
  // A cycle's mean over straight lines between independent nodes has close to this share of the nodes' variance:
  // weights 1/8, 1/4, 1/4, 1/4, 1/8.
  const nodeSd = (spec.cycleScatter ?? 0) / Math.sqrt(2 / 64 + 3 / 16);
  const ripple = spec.speedRipple ?? 0;
  const baseOrder = (2 * Math.PI) / cycleDeg;
  const phases = [random.uniform() * 2 * Math.PI, random.uniform() * 2 * Math.PI] as const;
  const hunting = spec.hunting;
  const huntingPhase = random.uniform() * 2 * Math.PI;
  const nodeDeg = cycleDeg / NODES_PER_CYCLE;

  const angleDeg = new Float64Array(grid.points);
  let firstEvent: number[] = [];
  let angle = random.uniform() * cycleDeg;
  let node = Math.floor(angle / nodeDeg);
  let drift = random.normal() * wander.sd;
  let from = drift + nodeSd * random.normal();
  drift = drift * rhoPerNode + random.normal() * innovation;
  let to = drift + nodeSd * random.normal();
  let baseRpm = 0;

  for (let i = 0; i < grid.points; i++) {
    angleDeg[i] = angle;
    const timeS = grid.startS + i * grid.stepS;
    if (timeS >= 0 && firstEvent.length === 0) {
      firstEvent = spec.intakeAnglesDeg.map((a) => Math.ceil((angle - a) / cycleDeg));
    }
    if ((i & 3) === 0) {
      baseRpm = rpmAt(spec, timeS);
      if (hunting) {
        baseRpm += hunting.amplitudeRpm * Math.sin((2 * Math.PI * timeS) / hunting.periodS + huntingPhase);
      }
    }
    while (angle >= (node + 1) * nodeDeg) {
      node++;
      from = to;
      drift = drift * rhoPerNode + random.normal() * innovation;
      to = drift + nodeSd * random.normal();
    }
    let deviation = from + ((to - from) * (angle - node * nodeDeg)) / nodeDeg;
    if (ripple > 0) {
      deviation += ripple * 0.8 * Math.sin(taps * baseOrder * angle + phases[0]);
      deviation += ripple * 0.4 * Math.sin(baseOrder * angle + phases[1]);
    }
    angle += Math.max(baseRpm * (1 + deviation), 30) * 6 * grid.stepS;
  }
  return { angleDeg, firstEvent };
}

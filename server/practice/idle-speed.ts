import { Engine } from './engine.ts';
import { defaultControls, type EngineControls } from './engine-controls.ts';
import { engineParameters } from './engine-parameters.ts';
import { layoutById } from './layouts.ts';
import { GRID_S } from './practice-bench.ts';
import { Random } from './random.ts';

/**
 * Turns of the idle screw at which the engine runs at a speed by itself: a brake holds the speed, and the screw is
 * turned until the brake has nothing to do. Good to about 1 % of the speed; near the stall an engine that gets
 * there by itself may still die of its scatter.
 *
 * @param speedRpm 300…8000
 * @param controls what differs from an engine as practice starts it
 * @throws RangeError outside the range
 */
export function idleTurnsForSpeed(
  layoutId: string,
  speedRpm: number,
  controls: Partial<EngineControls> = {},
  ambientKpa = 101.325,
): number {
  if (!(speedRpm >= 300 && speedRpm <= 8000))
    throw new RangeError(`${speedRpm} r/min is not within 300…8000`);
  const layout = layoutById(layoutId);
  const parameters = engineParameters(layout, ambientKpa);
  const surplusNm = (idleTurns: number): number => {
    const engine = new Engine(parameters, new Random(0), SILENT, {
      ...defaultControls(layout),
      ...structuredClone(controls),
      combustionScatter: 0,
      mixtureSwing: 0,
      heldRpm: speedRpm,
      idleTurns,
    });
    let sum = 0;
    const points = Math.round(SETTLE_S / GRID_S);
    const from = Math.round(points / 2);
    for (let point = 0; point < points; point++) {
      engine.advance(GRID_S);
      if (point >= from) sum += engine.brakeTorqueNm;
    }
    return sum / (points - from);
  };
  let low = 0;
  let high = FIRST_GUESS_TURNS;
  while (surplusNm(high) < 0 && high < MOST_TURNS) {
    low = high;
    high *= 2;
  }
  while (high - low > TOLERANCE_TURNS * Math.max(1, high / FIRST_GUESS_TURNS)) {
    const middle = (low + high) / 2;
    if (surplusNm(middle) < 0) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}

const SILENT = { onIntakeOpens() {}, onPulseMissed() {}, onFiring() {} };
const SETTLE_S = 3;
const FIRST_GUESS_TURNS = 8;
const MOST_TURNS = 512;
const TOLERANCE_TURNS = 0.02;

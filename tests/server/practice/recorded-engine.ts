import { Engine } from '../../../server/practice/engine.ts';
import { defaultControls, type EngineControls } from '../../../server/practice/engine-controls.ts';
import { type EngineParameters, engineParameters } from '../../../server/practice/engine-parameters.ts';
import { layoutById } from '../../../server/practice/layouts.ts';
import { GRID_S } from '../../../server/practice/practice-bench.ts';
import { Random } from '../../../server/practice/random.ts';

export interface RecordedCycle {
  readonly cyl: number;
  readonly startS: number;
  readonly endS: number;
  readonly meanKpa: number;
  readonly minKpa: number;
  readonly maxKpa: number;
  readonly rpm: number;
}

export interface RecordedEngine {
  readonly engine: Engine;
  /** Carries it on and answers the cycles that ended meanwhile. */
  run(durationS: number, every?: (engine: Engine) => void): RecordedCycle[];
}

/** A bare engine without mismatch, whose cycles are taken down by the test itself. */
export function recordedEngine(
  layoutId: string,
  controls: Partial<EngineControls> = {},
  parameters: Partial<EngineParameters> = {},
  seed = 1,
): RecordedEngine {
  const layout = layoutById(layoutId);
  const n = layout.cylinders;
  let cycles: RecordedCycle[] = [];
  const open: ({ startS: number; integral: number } | null)[] = new Array(n).fill(null);
  const low = new Array<number>(n).fill(Number.POSITIVE_INFINITY);
  const high = new Array<number>(n).fill(0);
  const engine = new Engine(
    { ...engineParameters(layout, 101.325), ...parameters },
    new Random(seed),
    {
      onIntakeOpens(cyl, timeS, integral) {
        const from = open[cyl];
        if (from) {
          const lengthS = timeS - from.startS;
          cycles.push({
            cyl,
            startS: from.startS,
            endS: timeS,
            meanKpa: (integral - from.integral) / lengthS / 1000,
            minKpa: low[cyl]! / 1000,
            maxKpa: high[cyl]! / 1000,
            rpm: 120 / lengthS,
          });
        }
        open[cyl] = { startS: timeS, integral };
        low[cyl] = Number.POSITIVE_INFINITY;
        high[cyl] = 0;
      },
      onPulseMissed() {},
      onFiring() {},
    },
    { ...defaultControls(layout), mismatchTurns: new Array<number>(n).fill(0), ...controls },
  );
  return {
    engine,
    run(durationS, every) {
      cycles = [];
      for (let point = 0; point < Math.round(durationS / GRID_S); point++) {
        engine.advance(GRID_S);
        every?.(engine);
        for (let cyl = 0; cyl < n; cyl++) {
          low[cyl] = Math.min(low[cyl]!, engine.portPa[cyl]!);
          high[cyl] = Math.max(high[cyl]!, engine.portPa[cyl]!);
        }
      }
      return cycles;
    },
  };
}

export function meansOf(
  cycles: readonly RecordedCycle[],
  cyl: number,
  key: 'meanKpa' | 'minKpa' | 'maxKpa' | 'rpm',
) {
  const values = cycles.filter((cycle) => cycle.cyl === cyl).map((cycle) => cycle[key]);
  if (values.length === 0) throw new Error(`Cylinder ${cyl + 1} has completed no cycle`);
  return values.reduce((sum, value) => sum + value, 0) / values.length;
}

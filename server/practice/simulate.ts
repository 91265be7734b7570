import type { TrueCycle } from './cycle-log.ts';
import type { EngineControls } from './engine-controls.ts';
import { idleTurnsForSpeed } from './idle-speed.ts';
import { DEFAULT_LAYOUT_ID, type EngineLayout } from './layouts.ts';
import { PracticeBench, type PracticeBenchOptions } from './practice-bench.ts';

export interface SimulateConfig extends PracticeBenchOptions {
  /** Turns the idle screw so that the engine runs at this speed by itself [r/min], see `idleTurnsForSpeed`. */
  readonly idleRpm?: number;
  /** Called before each stretch of simulated time, to turn a screw or blip; `timeS` is the bench's time. */
  readonly script?: (bench: PracticeBench, timeS: number) => void;
  /** How often the script is called [s]. */
  readonly scriptEveryS?: number;
}

export interface Simulated {
  readonly layout: EngineLayout;
  readonly sampleRateHz: number;
  /** Time of channel 1's conversion in each sample [s]; channel c comes `c x conversionS` later. */
  readonly timeS: Float64Array;
  readonly conversionS: number;
  /** What the sensors say, per channel [kPa absolute]. */
  readonly kpa: readonly Float64Array[];
  /** Raw counts per channel; all 0 without quantisation. */
  readonly counts: readonly Int32Array[];
  /** Pressure at the sensor without sensor error, noise and quantisation, at the moment of each conversion [kPa]. */
  readonly cleanKpa: readonly Float64Array[];
  /** Pressure in the port at the moment of each conversion [kPa]. */
  readonly portKpa: readonly Float64Array[];
  readonly cycles: readonly TrueCycle[];
  readonly bench: PracticeBench;
  /** Mean absolute pressure from `t0` to `t1` [kPa] without noise, in the port or at the end of the hose. */
  truthMeanKpa(cyl: number, t0: number, t1: number, where?: 'port' | 'tap'): number;
}

/**
 * Runs the practice bench for `durationS` in one go. Without options it is the uneven twin of the default
 * practice, sampled at 500 per second, quantised to 10 bits, with no noise and no hose.
 *
 * @example
 * const run = simulate({ layout: 'four-inline', seed: 7, taps: { noiseKpa: 0.1, lagS: 0.002 } }, 30);
 * run.truthMeanKpa(0, run.cycles[0].startS, run.cycles[0].endS);
 */
export function simulate(config: SimulateConfig, durationS: number): Simulated {
  const bench = new PracticeBench({ historyS: durationS + 1, ...config, controls: controlsFor(config) });
  const n = bench.cylinders;
  const length = Math.max(0, Math.ceil(durationS * bench.sampleRateHz) + 2);
  const timeS = new Float64Array(length);
  const columns = () => Array.from({ length: n }, () => new Float64Array(length));
  const kpa = columns();
  const cleanKpa = columns();
  const portKpa = columns();
  const counts = Array.from({ length: n }, () => new Int32Array(length));
  const everyS = config.scriptEveryS ?? 0.01;
  let samples = 0;
  for (let step = 0; bench.timeS < durationS; step++) {
    const nowS = step * everyS;
    config.script?.(bench, nowS);
    for (const frame of bench.advance(Math.min(durationS, nowS + everyS))) {
      timeS[samples] = frame.timeS;
      for (let cyl = 0; cyl < n; cyl++) {
        const at = frame.timeS + cyl * bench.conversionS;
        kpa[cyl]![samples] = frame.kpa[cyl]!;
        counts[cyl]![samples] = frame.counts[cyl]!;
        cleanKpa[cyl]![samples] = bench.truthAtKpa(cyl, at, 'tap');
        portKpa[cyl]![samples] = bench.truthAtKpa(cyl, at, 'port');
      }
      samples++;
    }
    if (nowS + everyS >= durationS) break;
  }
  const cut = (column: Float64Array) => column.slice(0, samples);
  return {
    layout: bench.layout,
    sampleRateHz: bench.sampleRateHz,
    timeS: cut(timeS),
    conversionS: bench.conversionS,
    kpa: kpa.map(cut),
    counts: counts.map((column) => column.slice(0, samples)),
    cleanKpa: cleanKpa.map(cut),
    portKpa: portKpa.map(cut),
    cycles: bench.trueCycles,
    bench,
    truthMeanKpa: (cyl, t0, t1, where) => bench.truthMeanKpa(cyl, t0, t1, where),
  };
}

function controlsFor({ layout, idleRpm, controls, ambientKpa }: SimulateConfig): Partial<EngineControls> {
  if (idleRpm === undefined) return controls ?? {};
  return {
    ...controls,
    idleTurns: idleTurnsForSpeed(layout ?? DEFAULT_LAYOUT_ID, idleRpm, controls, ambientKpa),
  };
}

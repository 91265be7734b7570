import { mean, standardDeviation } from 'simple-statistics';
import { LAYOUTS } from '../../server/practice/layouts.ts';
import { PracticeBench } from '../../server/practice/practice-bench.ts';

/** How fast the practice engine runs on one core: seconds of simulated idle per second. */
export interface PracticeEngineSpeed {
  readonly layout: string;
  readonly cylinders: number;
  readonly timesRealTimeMin: number;
  readonly timesRealTimeMean: number;
  readonly timesRealTimeSd: number;
}

const STRETCH_S = 5;
const STRETCHES = 6;
const ONE_LAYOUT_PER_COUNT = ['single', 'twin-180', 'triple-120', 'four-inline', 'flat-six', 'v-eight'];

/**
 * Runs the whole bench (engine, hoses, noise, truth, 500 samples a second) for one layout of each number of
 * cylinders and prints a line for each. `nowMs` is a steady clock.
 */
export function benchPracticeEngine(
  nowMs: () => number = () => performance.now(),
  print: (line: string) => void = (line) => console.log(line),
): PracticeEngineSpeed[] {
  return LAYOUTS.filter(({ id }) => ONE_LAYOUT_PER_COUNT.includes(id)).map(({ id, cylinders }) => {
    const bench = new PracticeBench({ layout: id, taps: { noiseKpa: 0.1, lagS: 0.002 }, historyS: 5 });
    const speeds = Array.from({ length: STRETCHES }, () => {
      const startedMs = nowMs();
      bench.advance(bench.timeS + STRETCH_S);
      return (STRETCH_S * 1000) / (nowMs() - startedMs);
    });
    const speed: PracticeEngineSpeed = {
      layout: id,
      cylinders,
      timesRealTimeMin: Math.min(...speeds),
      timesRealTimeMean: mean(speeds),
      timesRealTimeSd: standardDeviation(speeds),
    };
    print(
      `practice engine ${id}, ${cylinders} cyl: at least ${speed.timesRealTimeMin.toFixed(0)} x real time, ` +
        `mean ${speed.timesRealTimeMean.toFixed(0)} ± ${speed.timesRealTimeSd.toFixed(0)}`,
    );
    return speed;
  });
}

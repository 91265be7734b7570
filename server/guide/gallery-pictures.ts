import { type SimulateConfig, simulate } from '../practice/simulate.ts';
import { drawPulses } from './draw-pulses.ts';

/** One picture of the gallery: a fault that the practice engine has, on a parallel twin. */
interface Scene {
  readonly name: string;
  readonly title: string;
  readonly config: SimulateConfig;
  /** What is drawn, from the start of the run [s]. */
  readonly fromS: number;
  readonly toS: number;
}

/** Throttles that agree: the practice twin starts with one out of adjustment. */
const EVEN = { mismatchTurns: [0, 0] };
/** Some three engine cycles at idle. */
const IDLE = { fromS: 2, toS: 2.35 };

const SCENES: readonly Scene[] = [
  { name: 'even', title: 'Even: both pull alike', config: { controls: EVEN }, ...IDLE },
  {
    name: 'throttle-closed',
    title: 'Throttle of cylinder 2 closed further',
    config: { controls: { mismatchTurns: [0, -0.6] } },
    ...IDLE,
  },
  {
    name: 'leak',
    title: 'Air leak behind the throttle of cylinder 2',
    config: { controls: { ...EVEN, leakMm: [0, 2.5] } },
    ...IDLE,
  },
  {
    name: 'dead-cylinder',
    title: 'Cylinder 2 does not fire',
    config: { controls: { ...EVEN, missedFiring: [0, 1], idleTurns: 6 } },
    ...IDLE,
  },
  {
    name: 'torn-diaphragm',
    title: 'Throttle blip, diaphragm of cylinder 2 torn',
    config: {
      controls: { ...EVEN, tornDiaphragm: [false, true] },
      script: (bench, timeS) => {
        if (Math.abs(timeS - 2) < 0.004) bench.blip();
      },
    },
    fromS: 1.8,
    toS: 3.3,
  },
  {
    name: 'restrictor',
    title: 'Restrictor in the hose of cylinder 2',
    config: { controls: EVEN, taps: [{}, { restrictorLagS: 0.05 }] },
    ...IDLE,
  },
  {
    name: 'hose-off',
    title: 'Hose of cylinder 2 off its port',
    config: { controls: EVEN, taps: [{}, { off: true }] },
    ...IDLE,
  },
];

/** The whole gallery as SVG. The same engine and the same seed give the same picture. */
export function galleryPictures(): readonly { readonly name: string; readonly svg: string }[] {
  return SCENES.map(({ name, title, config, fromS, toS }) => {
    const run = simulate({ seed: 3, sampleRateHz: 500, fullScaleCounts: null, ...config }, toS);
    const first = run.timeS.findIndex((time) => time >= fromS);
    const times = [...run.timeS.slice(first)].map((time) => time - fromS);
    const vacuums = run.kpa.map((column) => [...column.slice(first)].map((kpa) => 101.325 - kpa));
    return { name, svg: drawPulses(title, times, vacuums) };
  });
}

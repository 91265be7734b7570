import type { PlannedCapture } from '../../../server/contract/captures.ts';
import type {
  Advice,
  CylinderReading,
  Pulses,
  SensorState,
  SourceState,
  Update,
} from '../../../server/contract/live.ts';
import type { PracticeState } from '../../../server/contract/practice.ts';
import type { Setup } from '../../../server/contract/setup.ts';

/** A scripted engine: what the screen is told, without any engine behind it. */
export interface Scene {
  setup: Setup;
  source: SourceState;
  practice: PracticeState;
  /** Settled differences to the mean [kPa] with all screws as found. */
  gapsKpa: number[];
  expandedKpa: number;
  settling: Update['settling'];
  sensors: SensorState[];
  running: boolean;
  idleRpm: number;
  /** Scatter of the single cycles [kPa]. */
  scatterKpa: number;
  advice: Advice | null;
  plannedCapture: PlannedCapture | null;
}

export function practiceScene(cylinders = 4): Scene {
  const each = <T>(value: T): T[] => Array.from({ length: cylinders }, () => value);
  return {
    setup: {
      cylinders,
      strokes: 4,
      reference: 'mean',
      toleranceKpa: 1,
      barometricKpa: 101.325,
      barometricFrom: 'standard',
      idleTargetRpm: 1100,
      idleBandRpm: 50,
    },
    source: {
      kind: 'practice',
      address: 'practice',
      practice: true,
      link: 'live',
      boardId: 'practice',
      firmwareVersion: '1.0.0',
      channels: cylinders,
      sampleRateHz: 500,
      sentence: '',
      errorCode: null,
      counters: {},
    },
    practice: {
      layout: 'four-inline',
      layouts: [
        { id: 'twin-360', name: 'Parallel twin, 360° crank', cylinders: 2 },
        { id: 'four-inline', name: 'In-line four', cylinders: 4 },
      ],
      running: true,
      balanceScrews: Array.from({ length: Math.max(0, cylinders - 1) }, (_, index) => ({
        name:
          ['between 1 and 2', 'between 3 and 4', 'between the pairs'][index] ?? `of cylinder ${index + 2}`,
        what: 'balance screw' as const,
        turns: 0,
      })),
      idleScrewTurns: 1.5,
      heldThrottle: 0,
      leakMm: each(0),
      tornDiaphragm: each(false),
      missedFiring: each(0),
      hoseOff: each(false),
      swappedHoses: null,
      sensors: 'exact',
      vesselVacuumKpa: null,
    },
    gapsKpa: [1.9, -1.1, 0.35, -2.4, 0.9, -0.6, 1.3, -0.2].slice(0, cylinders),
    expandedKpa: 0.16,
    settling: 'steady',
    sensors: each<SensorState>('ok'),
    running: true,
    idleRpm: 1130,
    scatterKpa: 0.35,
    advice: null,
    plannedCapture: null,
  };
}

/** What the advisor says of a set that is balanced at one speed. */
export function adviceOf(sentence: string | null, more: Partial<Advice> = {}): Advice {
  return {
    state: sentence === null ? 'waiting' : 'find-out',
    sentence,
    move: null,
    point: 'idle',
    points: [],
    toleranceKpa: 1,
    idle: { state: 'inside', sentence: null },
    ...more,
  };
}

/** A real board on a cable, not the practice engine. */
export function boardScene(cylinders = 4): Scene {
  const scene = practiceScene(cylinders);
  scene.source = {
    ...scene.source,
    kind: 'serial',
    address: '/dev/ttyACM0',
    practice: false,
    boardId: 'bench-1',
  };
  return scene;
}

/** Differences with the screws as they are turned now: a quarter turn moves a cylinder by 1.5 kPa. */
export function settledGapsKpa(scene: Scene): number[] {
  const gaps = scene.gapsKpa.map((gap, cyl) => gap - 6 * (scene.practice.balanceScrews[cyl - 1]?.turns ?? 0));
  const mean = gaps.reduce((sum, gap) => sum + gap, 0) / gaps.length;
  return gaps.map((gap) => gap - mean);
}

/**
 * @param chance 0…1, for the scatter of the single cycles
 * @param shownKpa differences to show; the settled ones unless something moves
 */
export function updateOf(
  scene: Scene,
  timeS: number,
  cycles: number,
  chance: () => number,
  shownKpa: readonly number[] = settledGapsKpa(scene),
): Update {
  const { toleranceKpa } = scene.setup;
  const known = (cyl: number) => scene.running && scene.sensors[cyl] === 'ok';
  const verdictOf = (gap: number): CylinderReading['verdict'] => {
    if (Math.abs(gap) + scene.expandedKpa <= toleranceKpa) return 'inside';
    return Math.abs(gap) - scene.expandedKpa > toleranceKpa ? 'outside' : 'not-sure';
  };
  const cylinders = shownKpa.map((gap, cyl): CylinderReading => {
    const ok = known(cyl);
    return {
      cylinder: cyl + 1,
      sensor: scene.running ? scene.sensors[cyl]! : 'open-to-air',
      vacuumKpa: ok ? 31.4 + gap : null,
      vacuumExpandedKpa: ok ? scene.expandedKpa * 1.4 : null,
      gapKpa: ok ? gap : null,
      gapExpandedKpa: ok ? scene.expandedKpa : null,
      verdict: ok ? verdictOf(gap) : 'not-sure',
      settling: scene.settling,
      lastCycleKpa: ok ? 31.4 + gap + (chance() + chance() + chance() - 1.5) * 2 * scene.scatterKpa : null,
      peakVacuumKpa: ok ? 58 + gap : null,
      pulseDepthKpa: ok ? 41 : null,
      cycles: ok ? Math.min(cycles, 60) : 0,
      missedPulsesPerMinute: ok ? 0 : null,
    };
  });
  const gaps = cylinders.flatMap(({ gapKpa }) => (gapKpa === null ? [] : [gapKpa]));
  const verdicts = cylinders.map(({ verdict }) => verdict);
  const verdict = verdicts.includes('outside')
    ? 'outside'
    : verdicts.includes('not-sure')
      ? 'not-sure'
      : 'inside';
  return {
    type: 'update',
    timeS,
    sentAtMs: Date.now(),
    lagMs: 3,
    engine: {
      running: scene.running,
      speedRpm: scene.running ? scene.idleRpm + (chance() - 0.5) * 30 : null,
      idleRpm: scene.running ? scene.idleRpm : null,
      cycles,
    },
    cylinders,
    spreadKpa: gaps.length < 2 ? null : Math.max(...gaps) - Math.min(...gaps),
    spreadExpandedKpa: gaps.length < 2 ? null : scene.expandedKpa * 1.3,
    settling: scene.settling,
    verdict,
    cyclesNeeded: verdict === 'not-sure' ? 23 : null,
    swappedHoses: null,
    roughness: {
      score: scene.running ? 24 : null,
      cycleLengthCovPercent: scene.running ? 1.43 : null,
      choppinessPercent: scene.running ? 1.12 : null,
      huntingAmplitudeRpm: scene.running ? 14 : null,
      huntingPeriodS: scene.running ? 2.4 : null,
      depthCovPercent: cylinders.map(() => (scene.running ? 2.1 : null)),
    },
    advice: scene.running ? scene.advice : null,
    plannedCapture: scene.plannedCapture,
  };
}

const BINS = 72;

/** Mean intake pulses as the screen gets them: a fall while the valve is open, then the port refills. */
export function pulsesOf(scene: Scene, timeS: number): Pulses {
  const gaps = settledGapsKpa(scene);
  const each = <T>(value: (cyl: number) => T): T[] => gaps.map((_, cyl) => value(cyl));
  const known = (cyl: number) => scene.running && scene.sensors[cyl] === 'ok';
  const shape = (bin: number) => {
    const share = bin / BINS;
    return share < 0.25 ? Math.sin((share / 0.25) * (Math.PI / 2)) : Math.exp(-(share - 0.25) / 0.28);
  };
  return {
    type: 'pulses',
    timeS: [timeS],
    absoluteKpa: each((cyl) => [known(cyl) ? 60 : null]),
    folded: each((cyl) => ({
      meanKpa: Array.from({ length: BINS }, (_, bin) =>
        known(cyl) ? 14 + gaps[cyl]! + 41 * shape(bin) : null,
      ),
      sdKpa: Array.from({ length: BINS }, (_, bin) => (known(cyl) ? 0.6 + 1.2 * shape(bin) : null)),
    })),
  };
}

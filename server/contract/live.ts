/**
 * The live messages from server to browser, version 1, over WebSocket at `/live` as JSON text.
 * Order after connecting: one `hello`, one `snapshot`, then `update`, `pulses`, `event` as they come.
 * Everything is in SI-derived base units of the trade: kPa, r/min, s. `null` means 'not known', never 0.
 * Under back-pressure `update` and `pulses` are folded to their latest; `event` is never dropped.
 */
import Type, { type Static } from 'typebox';
import { CaptureSummary, PlannedCapture } from './captures.ts';
import { nullable } from './nullable.ts';
import { PracticeState } from './practice.ts';
import { BalancePointId, Setup } from './setup.ts';

// Parts of the messages that other bodies share.

export const LIVE_VERSION = 1;

/** The state of the byte source and of the board behind it. */
export const SourceState = Type.Object({
  kind: Type.Union([
    Type.Literal('serial'),
    Type.Literal('tcp'),
    Type.Literal('practice'),
    Type.Literal('replay'),
  ]),
  address: Type.String(),
  /** true for the simulated engine: the screen must say so at all times. */
  practice: Type.Boolean(),
  link: Type.Union([
    Type.Literal('searching'),
    Type.Literal('opening'),
    Type.Literal('waiting-for-board'),
    Type.Literal('live'),
    Type.Literal('stalled'),
    Type.Literal('lost'),
    Type.Literal('refused'),
  ]),
  boardId: nullable(Type.String()),
  firmwareVersion: nullable(Type.String()),
  channels: Type.Integer(),
  sampleRateHz: nullable(Type.Number()),
  /** One sentence for the person, with what to do; empty when all is well. */
  sentence: Type.String(),
  /** Code in the error catalogue, or null when all is well. */
  errorCode: nullable(Type.String()),
  /** Each kind of bad line, lost sample, etc. */
  counters: Type.Record(Type.String(), Type.Integer()),
  /** What the person should know of the calibration in force, in one sentence; empty when all is well. */
  calibrationSentence: Type.Optional(Type.String()),
});
export type SourceState = Static<typeof SourceState>;

export const SensorState = Type.Union([
  Type.Literal('ok'),
  Type.Literal('no-pulse'),
  Type.Literal('open-to-air'),
  Type.Literal('blocked'),
  Type.Literal('saturated'),
  Type.Literal('dead'),
  Type.Literal('noisy'),
]);
export type SensorState = Static<typeof SensorState>;

export const Settling = Type.Union([
  Type.Literal('moving'),
  Type.Literal('settling'),
  Type.Literal('steady'),
]);
export type Settling = Static<typeof Settling>;

export const Verdict = Type.Union([
  Type.Literal('inside'),
  Type.Literal('outside'),
  Type.Literal('not-sure'),
]);
export type Verdict = Static<typeof Verdict>;

export const CylinderReading = Type.Object({
  /** 1-based number as painted on the hose. */
  cylinder: Type.Integer(),
  sensor: SensorState,
  /** Mean of whole-cycle means [kPa of vacuum]. */
  vacuumKpa: nullable(Type.Number()),
  /** Expanded uncertainty (k = 2) of vacuumKpa. */
  vacuumExpandedKpa: nullable(Type.Number()),
  /** Vacuum relative to the reference, from paired cycles. Positive: pulls more. */
  gapKpa: nullable(Type.Number()),
  gapExpandedKpa: nullable(Type.Number()),
  verdict: Verdict,
  settling: Settling,
  /** Whole-cycle mean of the last cycle alone, for the tail and the chart. */
  lastCycleKpa: nullable(Type.Number()),
  peakVacuumKpa: nullable(Type.Number()),
  pulseDepthKpa: nullable(Type.Number()),
  /** Cycles in the present mean. */
  cycles: Type.Integer(),
  missedPulsesPerMinute: nullable(Type.Number()),
});
export type CylinderReading = Static<typeof CylinderReading>;

export const Roughness = Type.Object({
  /** 0 smooth to 100 rough: our own score, see the guide for its formula. */
  score: nullable(Type.Number()),
  cycleLengthCovPercent: nullable(Type.Number()),
  choppinessPercent: nullable(Type.Number()),
  huntingAmplitudeRpm: nullable(Type.Number()),
  huntingPeriodS: nullable(Type.Number()),
  depthCovPercent: Type.Array(nullable(Type.Number())),
});
export type Roughness = Static<typeof Roughness>;

export const Advice = Type.Object({
  state: Type.Union([
    Type.Literal('waiting'),
    Type.Literal('equal'),
    Type.Literal('find-out'),
    Type.Literal('move'),
    Type.Literal('other-point'),
  ]),
  /** The next move in plain words, or null when it cannot be told. */
  sentence: nullable(Type.String()),
  /** The same as data where a screw is named; `screw` is 1-based in the linkage. */
  move: nullable(
    Type.Object({
      screw: Type.Integer(),
      screwName: Type.String(),
      /** Against the person's own last turn of that screw; 'either' when none is known. */
      direction: Type.Union([Type.Literal('either'), Type.Literal('same'), Type.Literal('back')]),
      /** How far, in last turns of that screw; null for 'a little'. */
      fraction: nullable(Type.Number()),
      /** Probability that the direction is right, 0…1. */
      confidence: Type.Number(),
    }),
  ),
  /** Where the engine runs just now; null between the points and when it does not run. */
  point: nullable(BalancePointId),
  /** Both points of a set that is balanced at two; empty for any other. */
  points: Type.Array(
    Type.Object({
      id: BalancePointId,
      toleranceKpa: Type.Number(),
      fromRpm: Type.Number(),
      toRpm: Type.Number(),
      /** Found equal, and no screw that matters to it turned since. */
      equal: Type.Boolean(),
    }),
  ),
  /** Tolerance at the speed at which the engine runs [kPa]. */
  toleranceKpa: Type.Number(),
  idle: Type.Object({
    state: nullable(Type.Union([Type.Literal('inside'), Type.Literal('high'), Type.Literal('low')])),
    /** Said where balancing has moved the idle speed out of its band. */
    sentence: nullable(Type.String()),
  }),
});
export type Advice = Static<typeof Advice>;

export const Update = Type.Object({
  type: Type.Literal('update'),
  /** Board time of the newest sample used [s], unwrapped, grows while the link lives. */
  timeS: Type.Number(),
  /** Wall clock at sending [ms since 1970]. */
  sentAtMs: Type.Number(),
  /** Milliseconds from the arrival of the newest byte used to this message. */
  lagMs: Type.Number(),
  engine: Type.Object({
    running: Type.Boolean(),
    speedRpm: nullable(Type.Number()),
    idleRpm: nullable(Type.Number()),
    cycles: Type.Integer(),
  }),
  cylinders: Type.Array(CylinderReading),
  spreadKpa: nullable(Type.Number()),
  spreadExpandedKpa: nullable(Type.Number()),
  /** The worst of the cylinders' states. */
  settling: Settling,
  verdict: Verdict,
  /** Cycles still needed to decide, where verdict is 'not-sure' and it can be told. */
  cyclesNeeded: nullable(Type.Integer()),
  /** Two hoses look swapped, 1-based: one of these pairs, which cannot be told apart where there are several. Or null. */
  swappedHoses: nullable(Type.Array(Type.Tuple([Type.Integer(), Type.Integer()]))),
  roughness: Roughness,
  /** What to turn next; missing or null while nothing is measured. */
  advice: Type.Optional(nullable(Advice)),
  /** The capture that starts and ends by itself, or null where none was asked for. */
  plannedCapture: Type.Optional(nullable(PlannedCapture)),
});
export type Update = Static<typeof Update>;

/** Decimated raw traces since the last `pulses`, one column of kPa absolute per cylinder. null is a gap. */
export const Pulses = Type.Object({
  type: Type.Literal('pulses'),
  timeS: Type.Array(Type.Number()),
  absoluteKpa: Type.Array(Type.Array(nullable(Type.Number()))),
  /** Mean intake pulse per cylinder over the engine cycle, vacuum kPa, and its spread (1 sd). */
  folded: Type.Array(
    Type.Object({ meanKpa: Type.Array(nullable(Type.Number())), sdKpa: Type.Array(nullable(Type.Number())) }),
  ),
});
export type Pulses = Static<typeof Pulses>;

export const Hello = Type.Object({
  type: Type.Literal('hello'),
  liveVersion: Type.Integer(),
  /** New at every server start: a browser that sees it change drops all it knew. */
  serverStartId: Type.String(),
  softwareVersion: Type.String(),
});
export type Hello = Static<typeof Hello>;

export const Snapshot = Type.Object({
  type: Type.Literal('snapshot'),
  source: SourceState,
  setup: Setup,
  update: nullable(Update),
  captures: Type.Array(CaptureSummary),
  practice: nullable(PracticeState),
});
export type Snapshot = Static<typeof Snapshot>;

/** A part of the snapshot that changed. */
export const LiveEvent = Type.Union([
  Type.Object({ type: Type.Literal('event'), event: Type.Literal('source'), source: SourceState }),
  Type.Object({ type: Type.Literal('event'), event: Type.Literal('setup'), setup: Setup }),
  Type.Object({ type: Type.Literal('event'), event: Type.Literal('capture'), capture: CaptureSummary }),
  Type.Object({ type: Type.Literal('event'), event: Type.Literal('practice'), practice: PracticeState }),
]);
export type LiveEvent = Static<typeof LiveEvent>;

export type LiveMessage = Hello | Snapshot | Update | Pulses | LiveEvent;

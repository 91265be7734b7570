/**
 * The live messages from server to browser, version 1, over WebSocket at `/live` as JSON text.
 * Order after connecting: one `hello`, one `snapshot`, then `update`, `pulses`, `event` as they come.
 * Everything is in SI-derived base units of the trade: kPa, r/min, s. `null` means 'not known', never 0.
 * Under back-pressure `update` and `pulses` are folded to their latest; `event` is never dropped.
 */
import Type, { type Static } from 'typebox';
import { FIRING_LAYOUTS, type FiringLayout } from './firing-angles.ts';
import { nullable } from './nullable.ts';

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

export const CaptureLabel = Type.Union([
  Type.Literal('before'),
  Type.Literal('after'),
  Type.Literal('between'),
]);
export type CaptureLabel = Static<typeof CaptureLabel>;

/** `POST /api/captures/planned`: a capture that starts and ends by itself. */
export const CapturePlan = Type.Object(
  {
    label: CaptureLabel,
    /** What it waits for: that nothing moves, or that all cylinders are equal as well. */
    when: Type.Union([Type.Literal('steady'), Type.Literal('equal')]),
  },
  { additionalProperties: false },
);
export type CapturePlan = Static<typeof CapturePlan>;

export const PlannedCapture = Type.Object({
  label: CaptureLabel,
  when: Type.Union([Type.Literal('steady'), Type.Literal('equal')]),
  phase: Type.Union([Type.Literal('waiting'), Type.Literal('recording')]),
  /** Until it starts if it stays as it is [s], or null while it is not as wished. */
  startsInS: nullable(Type.Number()),
  elapsedS: Type.Number(),
  /** It ends at the latest after so long [s]. */
  endsWithinS: Type.Number(),
  /** Expanded uncertainty of the capture [kPa]; it ends by itself at `sureAtKpa`. */
  expandedKpa: nullable(Type.Number()),
  sureAtKpa: Type.Number(),
});
export type PlannedCapture = Static<typeof PlannedCapture>;

/** Where a set can be balanced: at idle, on its stops, or at a raised speed that is held, on its cables. */
export const BalancePointId = Type.Union([Type.Literal('idle'), Type.Literal('raised')]);
export type BalancePointId = Static<typeof BalancePointId>;

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
  /** Two hoses look swapped, 1-based, or null. */
  swappedHoses: nullable(Type.Tuple([Type.Integer(), Type.Integer()])),
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

export const MAX_LINKAGE_SCREWS = 16;

/** How the screws connect the cylinders. */
export const LinkageSetup = Type.Union([
  Type.Object(
    {
      kind: Type.Union([
        /** What most sets of so many cylinders have. */
        Type.Literal('usual'),
        Type.Literal('none'),
        Type.Literal('one-screw'),
        Type.Literal('rack-of-four'),
        Type.Literal('stops-and-cables'),
      ]),
    },
    { additionalProperties: false },
  ),
  Type.Object(
    {
      kind: Type.Literal('base-and-screws'),
      /** 1-based cylinder that has no screw of its own. */
      base: Type.Integer({ minimum: 1, maximum: 8 }),
    },
    { additionalProperties: false },
  ),
  Type.Object(
    {
      kind: Type.Literal('own-matrix'),
      screws: Type.Array(
        Type.Object(
          {
            name: Type.String(),
            /** Per cylinder: how far a turn inward opens its throttle, negative where it closes it. Only the shape counts. */
            opens: Type.Array(Type.Number({ minimum: -10, maximum: 10 }), { maxItems: 8 }),
            point: Type.Optional(BalancePointId),
          },
          { additionalProperties: false },
        ),
        { maxItems: MAX_LINKAGE_SCREWS },
      ),
    },
    { additionalProperties: false },
  ),
]);
export type LinkageSetup = Static<typeof LinkageSetup>;

/** In which order and how far apart the cylinders fire. */
export const FiringSetup = Type.Union([
  Type.Object(
    {
      kind: Type.Unsafe<'not-known' | FiringLayout>(
        Type.Union([Type.Literal('not-known'), ...FIRING_LAYOUTS.map((layout) => Type.Literal(layout))]),
      ),
    },
    { additionalProperties: false },
  ),
  Type.Object(
    {
      /** Both rods on one crank pin. */
      kind: Type.Literal('v-twin'),
      /** Between the cylinders [deg]. */
      vAngleDeg: Type.Number({ exclusiveMinimum: 0, exclusiveMaximum: 180 }),
      /** Whether cylinder 2 fires after the shorter or the longer gap behind cylinder 1. */
      second: Type.Union([Type.Literal('sooner'), Type.Literal('later')]),
    },
    { additionalProperties: false },
  ),
  Type.Object(
    {
      kind: Type.Literal('own'),
      /** 1-based cylinders as they fire. */
      order: Type.Array(Type.Integer({ minimum: 1, maximum: 8 }), { maxItems: 8 }),
      /** From each firing to the next, in that order [crank degrees]. */
      gapsDeg: Type.Array(Type.Number({ minimum: 0, maximum: 720 }), { maxItems: 8 }),
    },
    { additionalProperties: false },
  ),
]);
export type FiringSetup = Static<typeof FiringSetup>;

export const Setup = Type.Object({
  cylinders: Type.Integer({ minimum: 1, maximum: 8 }),
  strokes: Type.Union([Type.Literal(4), Type.Literal(2)]),
  /** 1-based reference cylinder, or 'mean'. */
  reference: Type.Union([Type.Integer({ minimum: 1, maximum: 8 }), Type.Literal('mean')]),
  toleranceKpa: Type.Number({ exclusiveMinimum: 0, maximum: 50 }),
  barometricKpa: Type.Number({ minimum: 50, maximum: 120 }),
  barometricFrom: Type.Union([
    Type.Literal('standard'),
    Type.Literal('entered'),
    Type.Literal('board'),
    Type.Literal('key-off'),
  ]),
  idleTargetRpm: nullable(Type.Number({ minimum: 200, maximum: 5000 })),
  idleBandRpm: nullable(Type.Number({ minimum: 1, maximum: 1000 })),
  /** Engine and air in the person's words, written down with each capture: 'warm, fan came on, 18 °C'. */
  conditions: Type.Optional(Type.String({ maxLength: 200 })),
  /** The job on the bench, which new captures are put on; null or missing for none. */
  benchVisitId: Type.Optional(nullable(Type.String({ pattern: '^[A-Za-z0-9-]{1,64}$' }))),
  /** Missing in set-ups from before there was a choice: the usual one. */
  linkage: Type.Optional(LinkageSetup),
  /** Missing in set-ups from before there was a choice: not known. Swapped hoses are told only where it is known. */
  firing: Type.Optional(FiringSetup),
  /** For sets with cables: the speed to hold, or null for about three times the idle speed. */
  raisedTargetRpm: Type.Optional(nullable(Type.Number({ minimum: 500, maximum: 10_000 }))),
  /** The tolerance there, or null for the same as at idle. */
  raisedToleranceKpa: Type.Optional(nullable(Type.Number({ exclusiveMinimum: 0, maximum: 50 }))),
});
export type Setup = Static<typeof Setup>;

export const CaptureSummary = Type.Object({
  id: Type.String(),
  label: CaptureLabel,
  state: Type.Union([Type.Literal('recording'), Type.Literal('complete'), Type.Literal('interrupted')]),
  practice: Type.Boolean(),
  sourceAddress: Type.String(),
  startedAtMs: Type.Number(),
  durationS: Type.Number(),
  samples: Type.Integer(),
  cylinders: Type.Integer(),
  spreadKpa: nullable(Type.Number()),
  spreadExpandedKpa: nullable(Type.Number()),
  gapsKpa: Type.Array(nullable(Type.Number())),
  idleRpm: nullable(Type.Number()),
  roughnessScore: nullable(Type.Number()),
  /** Version that worked the figures out. */
  softwareVersion: Type.String(),
  /** Engine and air as they were written down; missing where nothing was. */
  conditions: Type.Optional(Type.String()),
});
export type CaptureSummary = Static<typeof CaptureSummary>;

/** `GET /api/captures/:id/recomputed`: its figures once more, from the raw samples, by this version. Nothing is stored. */
export const RecomputedCapture = Type.Object({
  /** As they are stored, by the version that is named there. */
  stored: CaptureSummary,
  softwareVersion: Type.String(),
  spreadKpa: nullable(Type.Number()),
  spreadExpandedKpa: nullable(Type.Number()),
  gapsKpa: Type.Array(nullable(Type.Number())),
  idleRpm: nullable(Type.Number()),
  roughnessScore: nullable(Type.Number()),
});
export type RecomputedCapture = Static<typeof RecomputedCapture>;

/** State of the practice bench's panel, all of it settable over `PATCH /api/practice`. */
export const PracticeState = Type.Object({
  layout: Type.String(),
  layouts: Type.Array(Type.Object({ id: Type.String(), name: Type.String(), cylinders: Type.Integer() })),
  running: Type.Boolean(),
  /** Screws of the linkage, turns from where practice started; how many there are depends on the layout. */
  balanceScrews: Type.Array(
    Type.Object({
      /** Which of its kind: 'between 1 and 2', 'of cylinder 1'. */
      name: Type.String(),
      what: Type.Union([
        Type.Literal('balance screw'),
        Type.Literal('stop screw'),
        Type.Literal('cable adjuster'),
      ]),
      turns: Type.Number(),
    }),
  ),
  idleScrewTurns: Type.Number(),
  /** How far the hand holds the throttle open, 0 released … 1 fully open. */
  heldThrottle: Type.Number(),
  /** Hole behind the throttle per cylinder [mm diameter], 0 = tight. */
  leakMm: Type.Array(Type.Number()),
  tornDiaphragm: Type.Array(Type.Boolean()),
  /** Probability of a missed firing per cycle and cylinder, 0-1. */
  missedFiring: Type.Array(Type.Number()),
  hoseOff: Type.Array(Type.Boolean()),
  /** Two hoses that are on each other's cylinder, 1-based, or null. */
  swappedHoses: nullable(Type.Tuple([Type.Integer(), Type.Integer()])),
  /** Whether the sensors read the truth, or are off as far as their data sheet allows: then they can be calibrated. */
  sensors: Type.Union([Type.Literal('exact'), Type.Literal('as-bought')]),
  /** Vacuum in the vessel that all hoses hang on [kPa], or null while they are on the engine. */
  vesselVacuumKpa: nullable(Type.Number()),
});
export type PracticeState = Static<typeof PracticeState>;

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

/** Guided checks: what there is, the one that runs, its result. Bodies of `/api/checks`; see DEVELOPERS.md. */
import Type, { type Static } from 'typebox';
import { nullable } from './nullable.ts';

export const CheckKind = Type.Union([
  Type.Literal('key-off'),
  Type.Literal('cranking'),
  Type.Literal('idle-quality'),
  Type.Literal('spot'),
  Type.Literal('hold'),
  Type.Literal('two-opening'),
  Type.Literal('drop'),
  Type.Literal('blip'),
]);
export type CheckKind = Static<typeof CheckKind>;

export const CheckVerdict = Type.Union([
  Type.Literal('found'),
  Type.Literal('not-found'),
  Type.Literal('cannot-tell'),
]);
export type CheckVerdict = Static<typeof CheckVerdict>;

/** `GET /api/checks` */
export const CheckGuide = Type.Object({
  checks: Type.Array(
    Type.Object({
      kind: CheckKind,
      name: Type.String(),
      tells: Type.String(),
      /** Each is to be acknowledged before the check starts. */
      cautions: Type.Array(Type.String()),
      steps: Type.Array(Type.String()),
    }),
  ),
  /** What the guide's order rests on. */
  basis: Type.String(),
  complaints: Type.Array(
    Type.Object({
      id: Type.String(),
      complaint: Type.String(),
      steps: Type.Array(
        Type.Object({
          /** A kind of check, 'balance', or 'by-hand'. */
          check: Type.String(),
          what: Type.String(),
          because: Type.String(),
          cautions: Type.Array(Type.String()),
        }),
      ),
    }),
  ),
});
export type CheckGuide = Static<typeof CheckGuide>;

const SpotName = Type.String({ minLength: 1, maxLength: 40 });

/** `POST /api/checks/current` starts a check; 409 while one runs. What does not concern the kind is left out. */
export const CheckStart = Type.Object(
  {
    kind: CheckKind,
    /** The cautions were read. */
    acknowledged: Type.Literal(true),
    visitId: Type.Optional(nullable(Type.String({ minLength: 1, maxLength: 64 }))),
    spots: Type.Optional(Type.Array(SpotName, { minItems: 1, maxItems: 12, uniqueItems: true })),
    repeats: Type.Optional(Type.Integer({ minimum: 1, maximum: 6 })),
    /** 1-based channel that the closed part hangs on. */
    channel: Type.Optional(Type.Integer({ minimum: 1, maximum: 8 })),
    /** The part passes when it loses no more vacuum than this [kPa] in that time [s]. */
    limitKpa: Type.Optional(Type.Number({ exclusiveMinimum: 0, maximum: 50 })),
    limitS: Type.Optional(Type.Number({ minimum: 5, maximum: 600 })),
    /** Closed volume of part, hose and gauge [ml]. */
    volumeMl: Type.Optional(Type.Number({ exclusiveMinimum: 0, maximum: 20_000 })),
    /** 1-based cylinders in the order in which they are disabled. */
    order: Type.Optional(
      Type.Array(Type.Integer({ minimum: 1, maximum: 8 }), { minItems: 2, maxItems: 8, uniqueItems: true }),
    ),
    /** How long to watch the idle [s]. */
    watchS: Type.Optional(Type.Number({ minimum: 10, maximum: 300 })),
    /** Result of an earlier blip test of the same machine, to be compared with. */
    earlierId: Type.Optional(Type.String({ minLength: 1, maxLength: 64 })),
  },
  { additionalProperties: false },
);
export type CheckStart = Static<typeof CheckStart>;

/** `POST /api/checks/current/events` */
export const CheckEvent = Type.Object(
  {
    /** The button goes down or comes up; 'next' goes on to the next part. */
    event: Type.Union([Type.Literal('down'), Type.Literal('up'), Type.Literal('next')]),
    /** How long ago that was when it was sent [s]. */
    agoS: Type.Optional(Type.Number({ minimum: 0, maximum: 10 })),
  },
  { additionalProperties: false },
);
export type CheckEvent = Static<typeof CheckEvent>;

export const CheckFigure = Type.Object({
  name: Type.String(),
  value: Type.Number(),
  /** Expanded uncertainty, k = 2, or null where there is none. */
  expanded: nullable(Type.Number()),
  /** 'kPa', 'r/min', '%', 's', 'ml/s', 'mm', 'kPa/s' or '' for a plain number. */
  unit: Type.String(),
});
export type CheckFigure = Static<typeof CheckFigure>;

export const CheckRow = Type.Object({
  name: Type.String(),
  verdict: CheckVerdict,
  /** How sure the verdict is, in words with its figure; null where there is none. */
  strength: nullable(Type.String()),
  whatToDo: Type.String(),
  figures: Type.Array(CheckFigure),
});
export type CheckRow = Static<typeof CheckRow>;

/** Cycles over time and where pulses were missed. */
export const IdlePicture = Type.Object({
  /** Middle of each engine cycle after the start [s] and the speed over it [r/min]. */
  timeS: Type.Array(Type.Number()),
  speedRpm: Type.Array(Type.Number()),
  /** By cylinder [s]; null where its pulses cannot be told. */
  missedS: Type.Array(nullable(Type.Array(Type.Number()))),
});
export type IdlePicture = Static<typeof IdlePicture>;

export const CheckResult = Type.Object({
  id: Type.String(),
  kind: CheckKind,
  madeAtMs: Type.Number(),
  /** Found on the practice engine. */
  practice: Type.Boolean(),
  visitId: nullable(Type.String()),
  softwareVersion: Type.String(),
  cylinders: Type.Integer(),
  verdict: CheckVerdict,
  summary: Type.String(),
  whatToDo: Type.String(),
  rows: Type.Array(CheckRow),
  hints: Type.Array(Type.Object({ seen: Type.String(), pointsTo: Type.String() })),
  picture: nullable(IdlePicture),
  /** Vacuum left while the throttle was open, by cylinder, for a later visit; null for other checks. */
  blipShares: nullable(Type.Array(nullable(Type.Number()))),
});
export type CheckResult = Static<typeof CheckResult>;

/** `GET /api/checks/current` */
export const CheckState = Type.Object({
  running: nullable(
    Type.Object({
      kind: CheckKind,
      name: Type.String(),
      practice: Type.Boolean(),
      elapsedS: Type.Number(),
      /** Steps done of so many; 0 of 0 where there are none. */
      step: Type.Integer(),
      steps: Type.Integer(),
      /** What to do now. */
      instruction: Type.String(),
      /** Whether the button is wanted, what stands on it, and whether 'next' is. */
      button: nullable(Type.String()),
      next: nullable(Type.String()),
      held: Type.Boolean(),
      /** Time left of the present hold, rest or watch [s]; null where it is up to the person. */
      leftS: nullable(Type.Number()),
      figures: Type.Array(CheckFigure),
      /** It can be ended now with a result. */
      canFinish: Type.Boolean(),
    }),
  ),
  /** Of the last check that ended since the program started. */
  result: nullable(CheckResult),
  /** The result could not be kept; null when it was. */
  notKept: nullable(Type.String()),
});
export type CheckState = Static<typeof CheckState>;

/** `GET /api/checks/results`: newest first. */
export const CheckResultsQuery = Type.Object(
  {
    visitId: Type.Optional(Type.String({ minLength: 1, maxLength: 64 })),
    kind: Type.Optional(CheckKind),
  },
  { additionalProperties: false },
);
export const CheckResults = Type.Array(CheckResult);

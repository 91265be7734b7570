/** The practice bench's panel: what stands on it, and what of it is to be set. */
import Type, { type Static } from 'typebox';
import { nullable } from './nullable.ts';

/** Limits of the panel. */
export const MAX_SCREW_TURNS = 5;
export const MIN_IDLE_TURNS = -5;
export const MAX_IDLE_TURNS = 10;
/** Hole behind a throttle [mm diameter]. */
export const MAX_LEAK_MM = 6;
/** What a good hand pump makes in the vessel [kPa of vacuum]; what is left is well inside the range of common sensors. */
export const MAX_VESSEL_VACUUM_KPA = 80;
/** Hole through which the vessel fills [mm diameter]. */
export const MAX_VESSEL_LEAK_MM = 1;

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

/** `PATCH /api/practice`: arrays are whole, one entry per screw or cylinder. Answers `PracticeState`. */
export const PracticePatch = Type.Partial(
  Type.Object({
    layout: Type.String(),
    running: Type.Boolean(),
    balanceScrewTurns: Type.Array(Type.Number({ minimum: -MAX_SCREW_TURNS, maximum: MAX_SCREW_TURNS }), {
      maxItems: 8,
    }),
    idleScrewTurns: Type.Number({ minimum: MIN_IDLE_TURNS, maximum: MAX_IDLE_TURNS }),
    heldThrottle: Type.Number({ minimum: 0, maximum: 1 }),
    leakMm: Type.Array(Type.Number({ minimum: 0, maximum: MAX_LEAK_MM }), { maxItems: 8 }),
    tornDiaphragm: Type.Array(Type.Boolean(), { maxItems: 8 }),
    missedFiring: Type.Array(Type.Number({ minimum: 0, maximum: 1 }), { maxItems: 8 }),
    hoseOff: Type.Array(Type.Boolean(), { maxItems: 8 }),
    swappedHoses: Type.Union([
      Type.Tuple([Type.Integer({ minimum: 1, maximum: 8 }), Type.Integer({ minimum: 1, maximum: 8 })]),
      Type.Null(),
    ]),
    sensors: Type.Union([Type.Literal('exact'), Type.Literal('as-bought')]),
    vesselVacuumKpa: Type.Union([Type.Number({ minimum: 0, maximum: MAX_VESSEL_VACUUM_KPA }), Type.Null()]),
    /** The hand lets go of the vessel, which fills through such a hole [mm]; null: it holds. */
    vesselLeakMm: Type.Union([Type.Number({ minimum: 0, maximum: MAX_VESSEL_LEAK_MM }), Type.Null()]),
    /** The starter turns the engine with its ignition off. */
    cranking: Type.Boolean(),
  }),
  { additionalProperties: false },
);
export type PracticePatch = Static<typeof PracticePatch>;

// `POST /api/practice/blip` opens the throttle for a moment; answers 204.

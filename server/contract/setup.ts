/** What the person says of the engine on the bench: body of `/api/setup`, and a part of the live messages. */
import Type, { type Static } from 'typebox';
import { FIRING_LAYOUTS, type FiringLayout } from './firing-angles.ts';
import { nullable } from './nullable.ts';

/** Where a set can be balanced: at idle, on its stops, or at a raised speed that is held, on its cables. */
export const BalancePointId = Type.Union([Type.Literal('idle'), Type.Literal('raised')]);
export type BalancePointId = Static<typeof BalancePointId>;

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

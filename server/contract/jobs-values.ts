/** The small values that entries of the job record are made of. */
import Type, { type Static } from 'typebox';
import { nullable } from './nullable.ts';

/** Text without NUL and without half a surrogate pair: neither survives storage. */
export const Text = (maxLength: number, minLength = 0) =>
  Type.String({ minLength, maxLength, pattern: '^[^\\u0000\\ud800-\\udfff]*$' });

export const LINE = 200;
export const PARAGRAPH = 10_000;
export const Line = Text(LINE);
export const Paragraph = Text(PARAGRAPH);
export const Id = Type.String({ pattern: '^[A-Za-z0-9-]{1,64}$' });

/** A number as the person typed it, point or comma, kept digit by digit: 0.10 stays 0.10. */
export const Decimal = Type.String({ pattern: '^(\\d{1,9}([.,]\\d{0,6})?|[.,]\\d{1,6})$' });
export type Decimal = Static<typeof Decimal>;

/** Day in the shop's own calendar, `2024-05-31`. */
export const Day = Type.String({ format: 'date' });

export const PressureUnit = Type.Union([
  Type.Literal('kPa'),
  Type.Literal('inHg'),
  Type.Literal('cmHg'),
  Type.Literal('mmHg'),
  Type.Literal('mbar'),
  Type.Literal('psi'),
]);
export type PressureUnit = Static<typeof PressureUnit>;

export const ClearanceUnit = Type.Union([Type.Literal('mm'), Type.Literal('thou')]);
export type ClearanceUnit = Static<typeof ClearanceUnit>;

export const DistanceUnit = Type.Union([Type.Literal('km'), Type.Literal('mi')]);
export type DistanceUnit = Static<typeof DistanceUnit>;

export const Odometer = Type.Object({ value: Decimal, unit: DistanceUnit }, { additionalProperties: false });
export type Odometer = Static<typeof Odometer>;

/** Where a figure was read: manual and page. */
const source = { source: Line };

export const IdleSpeedFigure = Type.Object(
  { value: Decimal, band: nullable(Decimal), unit: Type.Literal('r/min'), ...source },
  { additionalProperties: false },
);
export const PressureFigure = Type.Object(
  { value: Decimal, unit: PressureUnit, ...source },
  { additionalProperties: false },
);
export type PressureFigure = Static<typeof PressureFigure>;
/** From `low` to `high`, both allowed. */
export const ClearanceFigure = Type.Object(
  { low: Decimal, high: Decimal, unit: ClearanceUnit, ...source },
  { additionalProperties: false },
);
export type ClearanceFigure = Static<typeof ClearanceFigure>;
export const PlugFigure = Type.Object(
  { type: Line, gap: nullable(ClearanceFigure), ...source },
  { additionalProperties: false },
);
/** 1-based. */
export const CylinderFigure = Type.Object(
  { cylinder: Type.Integer({ minimum: 1, maximum: 8 }), ...source },
  { additionalProperties: false },
);
/** Any other figure of the manual: float height, torque, oil quantity. */
export const OtherFigure = Type.Object(
  { name: Line, value: Line, unit: Line, ...source },
  { additionalProperties: false },
);

/** What the machine's service data say; null is 'not looked up'. Never filled in by the program. */
export const ServiceFigures = Type.Object(
  {
    idleSpeed: nullable(IdleSpeedFigure),
    vacuumDifference: nullable(PressureFigure),
    intakeClearance: nullable(ClearanceFigure),
    exhaustClearance: nullable(ClearanceFigure),
    sparkPlug: nullable(PlugFigure),
    referenceCylinder: nullable(CylinderFigure),
    others: Type.Array(OtherFigure, { maxItems: 50 }),
  },
  { additionalProperties: false },
);
export type ServiceFigures = Static<typeof ServiceFigures>;

/** ISO 4217 code. */
export const Currency = Type.String({ pattern: '^[A-Z]{3}$' });
/** Money in the currency's smallest unit: cents, or whole yen. */
export const Minor = Type.Integer({ minimum: 0, maximum: 1e12 });
/** Tax in percent, as typed. */
export const Percent = Type.String({ pattern: '^\\d{1,3}([.,]\\d{1,4})?$' });

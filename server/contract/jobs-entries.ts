/** What is written down during a visit. One list per visit, each line of one of these kinds. */
import Type, { type Static } from 'typebox';
import { ClearanceUnit, Decimal, Id, Line, Minor, Paragraph, Percent, Text } from './jobs-values.ts';
import { nullable } from './nullable.ts';

const closed = { additionalProperties: false };

export const CheckBody = Type.Object(
  {
    kind: Type.Literal('check'),
    name: Text(200, 1),
    result: Type.Union([
      Type.Literal('open'),
      Type.Literal('good'),
      Type.Literal('needs-work'),
      Type.Literal('not-applicable'),
    ]),
    note: Paragraph,
  },
  closed,
);

/** A typed value, or a pair of feeler blades: `goes` went in, `stops` did not. */
export const ClearanceReading = Type.Union([
  Type.Object({ how: Type.Literal('measured'), value: Decimal, unit: ClearanceUnit }, closed),
  Type.Object(
    {
      how: Type.Literal('feeler'),
      goes: nullable(Decimal),
      stops: nullable(Decimal),
      unit: ClearanceUnit,
    },
    closed,
  ),
]);
export type ClearanceReading = Static<typeof ClearanceReading>;

export const ClearanceBody = Type.Object(
  {
    kind: Type.Literal('clearance'),
    cylinder: Type.Integer({ minimum: 1, maximum: 8 }),
    side: Type.Union([Type.Literal('intake'), Type.Literal('exhaust')]),
    /** Counted along the cylinder's side, from 1. */
    valve: Type.Integer({ minimum: 1, maximum: 4 }),
    /** As it was found, or as it was left after the work. */
    when: Type.Union([Type.Literal('found'), Type.Literal('left')]),
    reading: ClearanceReading,
    note: Paragraph,
  },
  closed,
);
export type ClearanceBody = Static<typeof ClearanceBody>;

export const FindingBody = Type.Object(
  {
    kind: Type.Literal('finding'),
    text: Paragraph,
    weight: Type.Union([Type.Literal('note'), Type.Literal('needs-work'), Type.Literal('unsafe')]),
    photoIds: Type.Array(Type.String({ pattern: '^[0-9a-f]{64}$' }), { maxItems: 50 }),
  },
  closed,
);

const price = { quantity: Decimal, unitPriceMinor: Minor, taxPercent: Percent };

export const PartBody = Type.Object(
  {
    kind: Type.Literal('part'),
    name: Text(200, 1),
    number: Line,
    supplier: Line,
    ...price,
    state: Type.Union([Type.Literal('fitted'), Type.Literal('quoted'), Type.Literal('declined')]),
    note: Paragraph,
  },
  closed,
);
/** `quantity` in hours, `unitPriceMinor` per hour. */
export const LabourBody = Type.Object(
  { kind: Type.Literal('labour'), text: Text(2000, 1), ...price },
  closed,
);
export const FluidBody = Type.Object(
  { kind: Type.Literal('fluid'), name: Text(200, 1), unit: Text(20, 1), ...price },
  closed,
);
export const NoteBody = Type.Object({ kind: Type.Literal('note'), text: Paragraph }, closed);

export const EntryBody = Type.Union([
  CheckBody,
  ClearanceBody,
  FindingBody,
  PartBody,
  LabourBody,
  FluidBody,
  NoteBody,
]);
export type EntryBody = Static<typeof EntryBody>;
export type EntryKind = EntryBody['kind'];

/** `position` orders the lines of a visit, lowest first. */
export const EntryFields = Type.Object(
  { position: Type.Integer({ minimum: 0, maximum: 1_000_000 }), body: EntryBody },
  closed,
);
export type EntryFields = Static<typeof EntryFields>;

export const Entry = Type.Object(
  {
    id: Id,
    visitId: Id,
    revision: Type.Integer({ minimum: 1 }),
    createdAtMs: Type.Number(),
    updatedAtMs: Type.Number(),
    position: Type.Integer({ minimum: 0 }),
    body: EntryBody,
  },
  closed,
);
export type Entry = Static<typeof Entry>;

/**
 * The job record over HTTP, version 1: owners, their machines, a machine's visits to the shop. Routes are
 * listed in DEVELOPERS.md. Every entry has a revision that grows by one with each change. A change sends the
 * revision it started from; where that is no longer the stored one the answer is 409 with an `ErrorBody` and, so that
 * the person can choose, `stored`, what is stored now, and `sent`, what was sent.
 */
import Type, { type Static } from 'typebox';
import {
  Currency,
  Day,
  Id,
  Line,
  Minor,
  Odometer,
  Paragraph,
  Percent,
  PressureUnit,
  ServiceFigures,
  Text,
} from './jobs-values.ts';
import { nullable } from './nullable.ts';
import { type VisitState as StateOfVisit, VISIT_STATES } from './visit-states.ts';

/** What every stored entry carries beside its own fields. */
const stored = {
  id: Id,
  /** 1 when made. */
  revision: Type.Integer({ minimum: 1 }),
  createdAtMs: Type.Number(),
  updatedAtMs: Type.Number(),
};

const closed = { additionalProperties: false };

const ownerFields = { name: Text(200, 1), phone: Line, email: Line, address: Paragraph, notes: Paragraph };
/** `POST /api/owners` */
export const OwnerFields = Type.Object(ownerFields, closed);
export type OwnerFields = Static<typeof OwnerFields>;
export const Owner = Type.Object({ ...stored, ...ownerFields }, closed);
export type Owner = Static<typeof Owner>;

const machineFields = {
  ownerId: nullable(Id),
  make: Line,
  model: Line,
  year: nullable(Type.Integer({ minimum: 1880, maximum: 2200 })),
  frameNumber: Line,
  plate: nullable(Line),
  cylinders: Type.Integer({ minimum: 1, maximum: 8 }),
  /** In the mechanic's words: 'parallel twin', 'V4'. */
  layout: Line,
  /** Firing intervals or order as the manual gives them: '270-450'. */
  firing: Line,
  /** How the throttles are tied together and which has no screw of its own. */
  throttleLinkage: Line,
  service: ServiceFigures,
  notes: Paragraph,
  /** A machine of the practice engine, kept out of lists unless asked for. */
  practice: Type.Boolean(),
};
/** `POST /api/machines` */
export const MachineFields = Type.Object(machineFields, closed);
export type MachineFields = Static<typeof MachineFields>;
export const Machine = Type.Object({ ...stored, ...machineFields }, closed);
export type Machine = Static<typeof Machine>;

export type VisitState = StateOfVisit;
export const VisitState = Type.Unsafe<VisitState>(
  Type.Union(VISIT_STATES.map((state) => Type.Literal(state))),
);

export const NextDue = Type.Object(
  { day: nullable(Day), odometer: nullable(Odometer), what: Paragraph },
  closed,
);
export type NextDue = Static<typeof NextDue>;

/** Rounded once per line, or once per rate over the whole. */
export const TaxOn = Type.Union([Type.Literal('line'), Type.Literal('total')]);
export type TaxOn = Static<typeof TaxOn>;

/** How the costs of a visit are reckoned; taken from the shop's settings when the visit is made. */
export const Pricing = Type.Object(
  { currency: Currency, taxOn: TaxOn, pricesIncludeTax: Type.Boolean() },
  closed,
);
export type Pricing = Static<typeof Pricing>;

const visitFields = {
  machineId: Id,
  state: VisitState,
  day: Day,
  complaint: Paragraph,
  odometer: nullable(Odometer),
  technician: Line,
  roadTest: Paragraph,
  handOver: Paragraph,
  handedOverOn: nullable(Day),
  nextDue: NextDue,
  notes: Paragraph,
  pricing: Pricing,
};
/** A new visit; what is left out is empty, or as the shop's settings say. `POST /api/visits` */
export const VisitStart = Type.Object(
  { machineId: Id, day: Day, complaint: Paragraph, odometer: nullable(Odometer), technician: Line },
  closed,
);
export type VisitStart = Static<typeof VisitStart>;
export const VisitFields = Type.Object(visitFields, closed);
export type VisitFields = Static<typeof VisitFields>;
/** Owner and practice mark are the machine's at the time when the visit was made. */
export const Visit = Type.Object(
  { ...stored, ...visitFields, ownerId: nullable(Id), practice: Type.Boolean() },
  closed,
);
export type Visit = Static<typeof Visit>;

const shopFields = {
  name: Line,
  address: Paragraph,
  phone: Line,
  email: Line,
  taxNumber: Line,
  logoPhotoId: nullable(Id),
  pricing: Pricing,
  taxPercent: Percent,
  labourPerHourMinor: Minor,
  pressureUnit: PressureUnit,
  /** BCP 47 tag for dates and numbers on the report. */
  locale: Type.String({ pattern: '^[A-Za-z]{2,8}(-[A-Za-z0-9]{1,8})*$', maxLength: 35 }),
  paper: Type.Union([Type.Literal('A4'), Type.Literal('letter')]),
  reportFooter: Paragraph,
  /** What is to be checked on every visit. */
  checklist: Type.Array(Text(200, 1), { maxItems: 100 }),
  backup: Type.Object(
    {
      /** Folder on this computer or a mounted stick; null for no backup. */
      folder: nullable(Text(1000, 1)),
      everyHours: Type.Integer({ minimum: 1, maximum: 720 }),
      keep: Type.Integer({ minimum: 1, maximum: 1000 }),
    },
    closed,
  ),
};
/** `PUT /api/shop` */
export const ShopFields = Type.Object(shopFields, closed);
export type ShopFields = Static<typeof ShopFields>;
/** `GET /api/shop`; revision 0 until it is first set. */
export const Shop = Type.Object({ revision: Type.Integer({ minimum: 0 }), ...shopFields }, closed);
export type Shop = Static<typeof Shop>;

/** `PUT` of an entry: all of its fields and the revision they were read with. */
export const changeOf = <T extends Type.TProperties>(fields: Type.TObject<T>) =>
  Type.Object({ revision: Type.Integer({ minimum: 0 }), fields }, closed);

/** A stored photo, named after the SHA-256 of its bytes. */
export const Photo = Type.Object(
  {
    id: Type.String({ pattern: '^[0-9a-f]{64}$' }),
    type: Type.Union([Type.Literal('image/jpeg'), Type.Literal('image/png'), Type.Literal('image/webp')]),
    bytes: Type.Integer({ minimum: 1 }),
  },
  closed,
);
export type Photo = Static<typeof Photo>;

/** Lists, a whole job, and what is worked out from it. Nothing here is stored. */
import Type, { type Static } from 'typebox';
import { CaptureSummary } from './captures.ts';
import { Machine, Owner, Visit, VisitState } from './jobs.ts';
import { Entry } from './jobs-entries.ts';
import { Odometer } from './jobs-values.ts';
import { nullable } from './nullable.ts';

/** A page of a list: `total` counts all that match. */
export const pageOf = <T extends Type.TSchema>(row: T) =>
  Type.Object({ total: Type.Integer(), offset: Type.Integer(), rows: Type.Array(row) });

/** A line in the list of jobs. */
export const VisitRow = Type.Object({
  id: Type.String(),
  day: Type.String(),
  state: VisitState,
  practice: Type.Boolean(),
  complaint: Type.String(),
  technician: Type.String(),
  updatedAtMs: Type.Number(),
  machineId: Type.String(),
  machine: Type.String(),
  plate: nullable(Type.String()),
  frameNumber: Type.String(),
  ownerId: nullable(Type.String()),
  owner: nullable(Type.String()),
  captures: Type.Integer(),
  odometer: nullable(Odometer),
  nextDueDay: nullable(Type.String()),
  nextDueOdometer: nullable(Odometer),
  nextDueWhat: Type.String(),
  /** Where a searched word was met, or null without a search. */
  snippet: nullable(Type.String()),
});
export type VisitRow = Static<typeof VisitRow>;

/** A line in the list of machines. */
export const MachineRow = Type.Object({
  id: Type.String(),
  make: Type.String(),
  model: Type.String(),
  year: nullable(Type.Integer()),
  plate: nullable(Type.String()),
  frameNumber: Type.String(),
  practice: Type.Boolean(),
  ownerId: nullable(Type.String()),
  owner: nullable(Type.String()),
  visits: Type.Integer(),
  lastVisitDay: nullable(Type.String()),
});
export type MachineRow = Static<typeof MachineRow>;

/** A valve clearance against its specification. */
export const ClearanceVerdict = Type.Union([
  Type.Literal('in'),
  Type.Literal('tight'),
  Type.Literal('loose'),
  /** The feeler pair reaches over a limit: it cannot be told. */
  Type.Literal('straddling'),
  Type.Literal('no-specification'),
  Type.Literal('impossible'),
]);
export type ClearanceVerdict = Static<typeof ClearanceVerdict>;

/** With tax reckoned on the total a line has only the amount that its price says. */
export const CostLine = Type.Object({
  entryId: Type.String(),
  netMinor: nullable(Type.Integer()),
  taxMinor: nullable(Type.Integer()),
  grossMinor: nullable(Type.Integer()),
});
export const Costs = Type.Object({
  currency: Type.String(),
  lines: Type.Array(CostLine),
  netMinor: Type.Integer(),
  taxes: Type.Array(
    Type.Object({ percent: Type.String(), netMinor: Type.Integer(), taxMinor: Type.Integer() }),
  ),
  taxMinor: Type.Integer(),
  grossMinor: Type.Integer(),
});
export type Costs = Static<typeof Costs>;

/** `GET /api/visits/:id`: everything of one job. */
export const Job = Type.Object({
  visit: Visit,
  machine: Machine,
  owner: nullable(Owner),
  entries: Type.Array(Entry),
  captures: Type.Array(CaptureSummary),
  clearances: Type.Record(Type.String(), ClearanceVerdict),
  costs: Costs,
});
export type Job = Static<typeof Job>;

/** One figure before and after with the interval of its difference. */
export const FigureComparison = Type.Object({
  before: nullable(Type.Number()),
  after: nullable(Type.Number()),
  difference: nullable(Type.Number()),
  /** Expanded uncertainty of the difference, k = 2. */
  differenceExpanded: nullable(Type.Number()),
  verdict: Type.Union([
    Type.Literal('smaller'),
    Type.Literal('larger'),
    /** The interval of the difference holds 0. */
    Type.Literal('no-difference-shown'),
    /** There is a difference, but the engine's own scatter from cycle to cycle is larger. */
    Type.Literal('within-scatter'),
    Type.Literal('not-measured'),
  ]),
  sentence: Type.String(),
});
export type FigureComparison = Static<typeof FigureComparison>;

/** `GET /api/visits/:id/comparison?before=…&after=…` */
export const Comparison = Type.Object({
  before: CaptureSummary,
  after: CaptureSummary,
  cylinders: Type.Array(FigureComparison),
  spread: FigureComparison,
  roughness: FigureComparison,
  idleSpeed: FigureComparison,
  sentence: Type.String(),
});
export type Comparison = Static<typeof Comparison>;

/** `GET /api/search?q=…` */
export const SearchHit = Type.Object({
  kind: Type.Union([Type.Literal('visit'), Type.Literal('machine'), Type.Literal('owner')]),
  id: Type.String(),
  title: Type.String(),
  snippet: Type.String(),
});
export type SearchHit = Static<typeof SearchHit>;

/** `POST /api/records/import` */
export const ImportReport = Type.Object({
  added: Type.Integer(),
  /** There already, word for word. */
  unchanged: Type.Integer(),
  /** There already in another wording: ours were kept. */
  kept: Type.Array(Type.Object({ kind: Type.String(), id: Type.String() })),
  photos: Type.Integer(),
  captures: Type.Integer(),
});
export type ImportReport = Static<typeof ImportReport>;

/** `GET /api/records/backups` */
export const BackupRow = Type.Object({
  name: Type.String(),
  madeAtMs: Type.Number(),
  bytes: Type.Integer(),
  whole: Type.Boolean(),
});
export type BackupRow = Static<typeof BackupRow>;
export const BackupState = Type.Object({
  folder: nullable(Type.String()),
  lastMadeAtMs: nullable(Type.Number()),
  nextAtMs: nullable(Type.Number()),
  lastProblem: nullable(Type.String()),
  backups: Type.Array(BackupRow),
});
export type BackupState = Static<typeof BackupState>;

/** Where the job record is, and what of this bench has still to get there. */
export const RecordSharing = Type.Object({
  /** Server and database without user or password; null for a record of this bench alone. */
  server: nullable(Type.String()),
  /** Whether it was reached at the last look; a bench's own always is. */
  reached: Type.Boolean(),
  /** What keeps it from being reached, a code of the error catalogue; null where nothing does. */
  trouble: Type.Union([
    Type.Literal('records-unreachable'),
    Type.Literal('records-unsure'),
    Type.Literal('records-refused'),
    Type.Literal('records-newer-version'),
    Type.Null(),
  ]),
  /** Since when it was not reached [ms since 1970]; null where it is. */
  troubleSinceMs: nullable(Type.Integer()),
  /** Captures that wait on this bench for the network; null while the record was never reached. */
  capturesWaiting: nullable(Type.Integer()),
  /** When a capture of this bench arrived last [ms since 1970]; null where none did since the program was started. */
  lastDeliveredAtMs: nullable(Type.Integer()),
});
export type RecordSharing = Static<typeof RecordSharing>;

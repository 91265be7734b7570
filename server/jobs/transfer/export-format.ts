/** The document that jobs leave and enter by; described in DEVELOPERS.md, section 'Export format'. */
import Type, { type Static } from 'typebox';
import { CalibrationKind } from '../../contract/calibration.ts';
import { CaptureLabel } from '../../contract/captures.ts';
import { CheckResult } from '../../contract/checks.ts';
import { Machine, Owner, Photo, Shop, Visit } from '../../contract/jobs.ts';
import { Entry } from '../../contract/jobs-entries.ts';
import { Id, Text } from '../../contract/jobs-values.ts';
import { nullable } from '../../contract/nullable.ts';
import { SensorForm } from './sensor-form.ts';

export const EXPORT_FORMAT = 'idlewright-records';
/** 2 added `check`, `calibration` and `sensors`. A document of an earlier version is read as well. */
export const EXPORT_VERSION = 2;

/** The first line of the document, without the bracket that opens the records. */
export const ExportHead = Type.Object({
  format: Type.Literal(EXPORT_FORMAT),
  version: Type.Integer({ minimum: 1 }),
  exportedAtMs: Type.Number(),
  softwareVersion: Text(100),
});
export type ExportHead = Static<typeof ExportHead>;

const closed = { additionalProperties: false };

/** Members that a later version adds inside these are kept. */
export const ExportedHeader = Type.Object({
  label: CaptureLabel,
  practice: Type.Boolean(),
  sourceAddress: Text(1000),
  startedAtMs: Type.Number(),
  boardId: Text(200),
  firmwareVersion: Text(200),
  sensorTypes: Type.Array(Text(200), { maxItems: 16 }),
  fullScaleCounts: Type.Number(),
  sampleRateHz: Type.Number({ exclusiveMinimum: 0 }),
  clockRateHz: Type.Number({ exclusiveMinimum: 0 }),
  channelDelaysS: Type.Array(Type.Number()),
  setup: Type.Unknown(),
  calibration: Type.Unknown(),
  softwareVersion: Text(100),
  visitId: nullable(Id),
});

const figure = nullable(Type.Number());
export const ExportedFigures = Type.Object({
  spreadKpa: figure,
  spreadExpandedKpa: figure,
  gapsKpa: Type.Array(figure),
  idleRpm: figure,
  roughnessScore: figure,
  cylinders: Type.Optional(
    Type.Array(
      Type.Object({
        vacuumKpa: figure,
        vacuumStandardErrorKpa: figure,
        vacuumSdKpa: figure,
        vacuumExpandedKpa: figure,
        cycles: Type.Integer(),
      }),
    ),
  ),
});

export const ExportRecord = Type.Union([
  Type.Object({ kind: Type.Literal('shop'), shop: Shop }, closed),
  Type.Object({ kind: Type.Literal('owner'), owner: Owner }, closed),
  Type.Object({ kind: Type.Literal('machine'), machine: Machine }, closed),
  Type.Object({ kind: Type.Literal('photo'), photo: Photo, base64: Type.String() }, closed),
  Type.Object({ kind: Type.Literal('visit'), visit: Visit }, closed),
  Type.Object({ kind: Type.Literal('entry'), entry: Entry }, closed),
  Type.Object(
    {
      kind: Type.Literal('capture'),
      id: Id,
      state: Type.Union([Type.Literal('complete'), Type.Literal('interrupted')]),
      header: ExportedHeader,
      figures: nullable(ExportedFigures),
    },
    closed,
  ),
  /** Follows its capture. One text per stored chunk, null for one that was damaged. */
  Type.Object(
    {
      kind: Type.Literal('samples'),
      captureId: Id,
      firstChunk: Type.Integer({ minimum: 0 }),
      chunksCsv: Type.Array(nullable(Type.String()), { maxItems: 1000 }),
    },
    closed,
  ),
  /** A guided check, after the visit that it belongs to. */
  Type.Object({ kind: Type.Literal('check'), id: Id, visitId: nullable(Id), result: CheckResult }, closed),
  /** A calibration of a board of this bench, with the counts that it was computed from. */
  Type.Object(
    {
      kind: Type.Literal('calibration'),
      id: Id,
      calibrated: CalibrationKind,
      madeAtMs: Type.Number(),
      technician: nullable(Text(200)),
      expiresAtMs: nullable(Type.Number()),
      practice: Type.Boolean(),
      softwareVersion: Text(100),
      board: Type.Unknown(),
      evidence: Type.Unknown(),
      chunksCsv: Type.Array(Type.String(), { maxItems: 10_000 }),
    },
    closed,
  ),
  /** What was entered of the sensors of a board. */
  Type.Object(
    {
      kind: Type.Literal('sensors'),
      boardId: Text(200, 1),
      enteredAtMs: Type.Number(),
      sensors: Type.Array(
        Type.Object(
          {
            channel: Type.Integer({ minimum: 0, maximum: 7 }),
            type: nullable(SensorForm),
            serial: nullable(Text(200)),
          },
          closed,
        ),
        { maxItems: 8 },
      ),
    },
    closed,
  ),
  /** The last one: a document without it was cut off. */
  Type.Object({ kind: Type.Literal('end'), records: Type.Integer({ minimum: 0 }) }, closed),
]);
export type ExportRecord = Static<typeof ExportRecord>;

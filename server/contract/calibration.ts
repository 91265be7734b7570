/** Bodies of the calibration's part of the HTTP interface. Channels are 1-based, pressures in kPa. */
import Type, { type Static } from 'typebox';
import { Line } from './jobs-values.ts';
import { nullable } from './nullable.ts';

const closed = { additionalProperties: false };
const Channel = Type.Integer({ minimum: 1, maximum: 8 });
const Channels = Type.Array(Channel, { minItems: 1, maxItems: 8, uniqueItems: true });

export const CalibrationKind = Type.Union([
  Type.Literal('zero'),
  Type.Literal('matching'),
  Type.Literal('span'),
]);
export type CalibrationKind = Static<typeof CalibrationKind>;

/** One point of a straight transfer function: output as a share of the supply, and the pressure it stands for. */
const TransferPoint = Type.Object(
  {
    supplyShare: Type.Number({ minimum: 0, maximum: 1 }),
    kpa: Type.Number({ minimum: -1000, maximum: 1000 }),
  },
  closed,
);

export const SensorChoice = Type.Union([
  /** As the board says. */
  Type.Object({ kind: Type.Literal('board') }, closed),
  Type.Object({ kind: Type.Literal('known'), name: Type.String({ maxLength: 32 }) }, closed),
  Type.Object(
    {
      kind: Type.Literal('own'),
      name: Type.String({ maxLength: 32 }),
      measures: Type.Union([Type.Literal('absolute'), Type.Literal('gauge')]),
      low: TransferPoint,
      high: TransferPoint,
      errorBandKpa: Type.Number({ exclusiveMinimum: 0, maximum: 1000 }),
    },
    closed,
  ),
]);
export type SensorChoice = Static<typeof SensorChoice>;

/** `PUT /api/calibration/sensors`: those that are left out are as the board says, without a serial number. */
export const SensorsChange = Type.Object(
  {
    boardId: Type.String({ minLength: 1, maxLength: 16 }),
    sensors: Type.Array(
      Type.Object({ channel: Channel, type: SensorChoice, serial: nullable(Line) }, closed),
      {
        maxItems: 8,
      },
    ),
  },
  closed,
);
export type SensorsChange = Static<typeof SensorsChange>;

/** Where the air pressure of a zero comes from. Uncertainties are what it can be off by, either way. */
export const AirPressure = Type.Union([
  Type.Object({ from: Type.Literal('board') }, closed),
  Type.Object(
    {
      from: Type.Literal('entered'),
      kpa: Type.Number({ minimum: 0, maximum: 200 }),
      limitsKpa: Type.Number({ minimum: 0.001, maximum: 10 }),
    },
    closed,
  ),
  Type.Object(
    {
      from: Type.Literal('altitude'),
      altitudeM: Type.Number({ minimum: -500, maximum: 6000 }),
      limitsM: Type.Number({ minimum: 0, maximum: 1000 }),
    },
    closed,
  ),
]);
export type AirPressure = Static<typeof AirPressure>;

/** `POST /api/calibration/zero`: takes three seconds by itself. */
export const ZeroStart = Type.Object({ air: AirPressure }, closed);
export type ZeroStart = Static<typeof ZeroStart>;

/** `POST /api/calibration/matching`: the hoses that are on the source. */
export const MatchingStart = Type.Object({ channels: Channels }, closed);
export type MatchingStart = Static<typeof MatchingStart>;

/** What the certificate or the dial of the gauge says of it, as the gauge shows it. */
export const Gauge = Type.Object(
  {
    shows: Type.Union([Type.Literal('absolute'), Type.Literal('vacuum')]),
    fromKpa: Type.Number({ minimum: 0, maximum: 500 }),
    toKpa: Type.Number({ minimum: 0, maximum: 500 }),
    statedKpa: Type.Number({ exclusiveMinimum: 0, maximum: 50 }),
    stated: Type.Union([Type.Literal('limits'), Type.Literal('expanded'), Type.Literal('standard')]),
  },
  closed,
);
export type Gauge = Static<typeof Gauge>;

/** `POST /api/calibration/span` */
export const SpanStart = Type.Object({ channels: Channels, gauge: Gauge }, closed);
export type SpanStart = Static<typeof SpanStart>;

/** `POST /api/calibration/span/readings`: takes two seconds by itself. */
export const SpanReading = Type.Object(
  {
    shownKpa: Type.Number({ minimum: 0, maximum: 500 }),
    /** How far the figure read off can be beside the needle. */
    readToKpa: Type.Number({ minimum: 0.0001, maximum: 10 }),
  },
  closed,
);
export type SpanReading = Static<typeof SpanReading>;

/** `POST /api/calibration/save` */
export const CalibrationSave = Type.Object(
  {
    technician: nullable(Line),
    /** Months until it should be done again, or null for never. */
    remindAfterMonths: nullable(Type.Integer({ minimum: 1, maximum: 60 })),
  },
  closed,
);
export type CalibrationSave = Static<typeof CalibrationSave>;

export const CalibrationValidity = Type.Object({
  state: Type.Union([
    Type.Literal('never-calibrated'),
    Type.Literal('valid'),
    Type.Literal('due-soon'),
    Type.Literal('expired'),
  ]),
  /** Days left, or over where it has expired; null where it has no end. */
  days: nullable(Type.Integer()),
});
export type CalibrationValidity = Static<typeof CalibrationValidity>;

export const CalibratedChannel = Type.Object({
  channel: Channel,
  /** null where neither the board nor the person says. */
  sensorType: nullable(Type.String()),
  /** What the board itself says. */
  boardSays: Type.String(),
  enteredByHand: Type.Boolean(),
  /** What the person chose. */
  choice: SensorChoice,
  serial: nullable(Type.String()),
  gain: Type.Number(),
  offsetKpa: Type.Number(),
  residualSdKpa: nullable(Type.Number()),
  /** Expanded uncertainty of its pressure, and of its difference to the mean of all, at a usual idle. */
  readingExpandedKpa: nullable(Type.Number()),
  differenceExpandedKpa: nullable(Type.Number()),
});
export type CalibratedChannel = Static<typeof CalibratedChannel>;

export const CalibratedBoard = Type.Object({
  boardId: Type.String(),
  practice: Type.Boolean(),
  /** Simulated sensors without any error: there is nothing to calibrate. */
  exact: Type.Boolean(),
  channels: Type.Array(CalibratedChannel),
  calibrationId: nullable(Type.String()),
  kinds: Type.Array(CalibrationKind),
  madeAtMs: nullable(Type.Number()),
  technician: nullable(Type.String()),
  expiresAtMs: nullable(Type.Number()),
  validity: CalibrationValidity,
  barometerKpa: nullable(Type.Number()),
  temperatureCelsius: nullable(Type.Number()),
});
export type CalibratedBoard = Static<typeof CalibratedBoard>;

export const CalibrationRefusal = Type.Object({
  code: Type.String(),
  message: Type.String(),
  whatToDo: Type.String(),
  detail: Type.String(),
  channel: nullable(Channel),
});
export type CalibrationRefusal = Static<typeof CalibrationRefusal>;

export const CalibrationProposal = Type.Object({
  gain: Type.Array(Type.Number()),
  offsetKpa: Type.Array(Type.Number()),
  /** Expanded uncertainties at a usual idle, before and with it. */
  differenceBeforeKpa: Type.Array(Type.Number()),
  differenceAfterKpa: Type.Array(Type.Number()),
  readingBeforeKpa: Type.Array(Type.Number()),
  readingAfterKpa: Type.Array(Type.Number()),
  /** What is left of each channel, or of the gauge, on each step or reading; null where it took no part. */
  residuals: Type.Array(
    Type.Object({ atKpa: Type.Number(), residualKpa: Type.Array(nullable(Type.Number())) }),
  ),
});
export type CalibrationProposal = Static<typeof CalibrationProposal>;

export const CalibrationDeskState = Type.Object({
  phase: Type.Union([
    Type.Literal('idle'),
    Type.Literal('recording'),
    Type.Literal('waiting'),
    Type.Literal('refused'),
    Type.Literal('proposed'),
  ]),
  task: nullable(CalibrationKind),
  channels: Type.Array(Channel),
  recordedS: Type.Number(),
  /** Mean over the last tenths of a second, of every channel. */
  nowKpa: Type.Array(nullable(Type.Number())),
  /** Steady steps found so far. */
  steps: Type.Array(Type.Object({ lengthS: Type.Number(), meanKpa: Type.Number() })),
  /** Distance between the lowest and the highest step. */
  reachKpa: Type.Number(),
  readings: Type.Array(Type.Object({ referenceKpa: Type.Number(), readingKpa: Type.Number() })),
  refusal: nullable(CalibrationRefusal),
  proposal: nullable(CalibrationProposal),
});
export type CalibrationDeskState = Static<typeof CalibrationDeskState>;

/** `GET /api/calibration` and the answer of everything that changes it. */
export const CalibrationState = Type.Object({
  board: nullable(CalibratedBoard),
  /** What the person should know, in one sentence; empty when all is well. */
  sentence: Type.String(),
  desk: CalibrationDeskState,
  sensorTypes: Type.Array(Type.String()),
  leastSteps: Type.Integer(),
  leastReachKpa: Type.Number(),
});
export type CalibrationState = Static<typeof CalibrationState>;

export const CalibrationDrift = Type.Object({
  channel: Channel,
  changeKpa: Type.Number(),
  expandedKpa: Type.Number(),
  significant: Type.Boolean(),
  perYearKpa: nullable(Type.Number()),
});
export type CalibrationDrift = Static<typeof CalibrationDrift>;

export const PastCalibration = Type.Object({
  id: Type.String(),
  boardId: Type.String(),
  kind: CalibrationKind,
  madeAtMs: Type.Number(),
  technician: nullable(Type.String()),
  expiresAtMs: nullable(Type.Number()),
  practice: Type.Boolean(),
  inForce: Type.Boolean(),
  channels: Type.Array(
    Type.Object({
      channel: Channel,
      sensorType: Type.String(),
      serial: nullable(Type.String()),
      gain: Type.Number(),
      offsetKpa: Type.Number(),
      /** Correction at a usual idle: what the channel's own reading is changed by. */
      correctionKpa: Type.Number(),
      correctionExpandedKpa: Type.Number(),
    }),
  ),
  /** Against the one before it; empty for the first. */
  drift: Type.Array(CalibrationDrift),
});
export type PastCalibration = Static<typeof PastCalibration>;

/** `GET /api/calibration/history?boardId=`: newest first. */
export const CalibrationHistory = Type.Object({
  boards: Type.Array(Type.String()),
  boardId: nullable(Type.String()),
  calibrations: Type.Array(PastCalibration),
});
export type CalibrationHistory = Static<typeof CalibrationHistory>;

// `POST /api/calibration/finish` ends a matching or a span, `/discard` forgets it, `/use/:id` takes an earlier one
// of the same board into force again.

/** Bodies of the HTTP interface, version 1. Routes and their bodies are listed in DEVELOPERS.md. */
import Type, { type Static } from 'typebox';
import { CaptureLabel, Setup } from './live.ts';

/** Every error answer: a code of the catalogue, a sentence for the mechanic, what to do. */
export const ErrorBody = Type.Object({
  code: Type.String(),
  message: Type.String(),
  whatToDo: Type.String(),
});
export type ErrorBody = Static<typeof ErrorBody>;

/** `GET /api/health` */
export const Health = Type.Object({
  status: Type.Literal('ok'),
  softwareVersion: Type.String(),
  serverStartId: Type.String(),
  uptimeS: Type.Number(),
  link: Type.String(),
  source: Type.String(),
});
export type Health = Static<typeof Health>;

/** `PATCH /api/setup`: what is given changes, the rest stays. Answers the whole `Setup`. */
export const SetupPatch = Type.Partial(Setup, { additionalProperties: false });
export type SetupPatch = Static<typeof SetupPatch>;

/** `POST /api/captures` starts a capture; answers 201 with its `CaptureSummary`. 409 while one runs. */
export const CaptureStart = Type.Object({ label: CaptureLabel }, { additionalProperties: false });
export type CaptureStart = Static<typeof CaptureStart>;

// `POST /api/captures/:id/stop` ends it; `GET /api/captures` lists; `GET /api/captures/:id/samples.csv` exports.

/** `PATCH /api/practice`: arrays are whole, one entry per screw or cylinder. Answers `PracticeState`. */
export const PracticePatch = Type.Partial(
  Type.Object({
    layout: Type.String(),
    running: Type.Boolean(),
    balanceScrewTurns: Type.Array(Type.Number({ minimum: -5, maximum: 5 }), { maxItems: 8 }),
    idleScrewTurns: Type.Number({ minimum: -5, maximum: 10 }),
    heldThrottle: Type.Number({ minimum: 0, maximum: 1 }),
    leakMm: Type.Array(Type.Number({ minimum: 0, maximum: 6 }), { maxItems: 8 }),
    tornDiaphragm: Type.Array(Type.Boolean(), { maxItems: 8 }),
    missedFiring: Type.Array(Type.Number({ minimum: 0, maximum: 1 }), { maxItems: 8 }),
    hoseOff: Type.Array(Type.Boolean(), { maxItems: 8 }),
    swappedHoses: Type.Union([
      Type.Tuple([Type.Integer({ minimum: 1, maximum: 8 }), Type.Integer({ minimum: 1, maximum: 8 })]),
      Type.Null(),
    ]),
    sensors: Type.Union([Type.Literal('exact'), Type.Literal('as-bought')]),
    vesselVacuumKpa: Type.Union([Type.Number({ minimum: 0, maximum: 80 }), Type.Null()]),
    /** The hand lets go of the vessel, which fills through such a hole [mm]; null: it holds. */
    vesselLeakMm: Type.Union([Type.Number({ minimum: 0, maximum: 1 }), Type.Null()]),
    /** The starter turns the engine with its ignition off. */
    cranking: Type.Boolean(),
  }),
  { additionalProperties: false },
);
export type PracticePatch = Static<typeof PracticePatch>;

// `POST /api/practice/blip` opens the throttle for a moment; answers 204.

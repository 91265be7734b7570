/** Bodies of the HTTP interface, version 1. Routes and their bodies are listed in DEVELOPERS.md. */
import Type, { type Static } from 'typebox';
import { CaptureLabel } from './captures.ts';
import { Setup } from './setup.ts';

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

/** Captures: what a list shows of them, one that is planned, one that was worked out again. */
import Type, { type Static } from 'typebox';
import { nullable } from './nullable.ts';

export const CaptureLabel = Type.Union([
  Type.Literal('before'),
  Type.Literal('after'),
  Type.Literal('between'),
]);
export type CaptureLabel = Static<typeof CaptureLabel>;

/** `POST /api/captures/planned`: a capture that starts and ends by itself. */
export const CapturePlan = Type.Object(
  {
    label: CaptureLabel,
    /** What it waits for: that nothing moves, or that all cylinders are equal as well. */
    when: Type.Union([Type.Literal('steady'), Type.Literal('equal')]),
  },
  { additionalProperties: false },
);
export type CapturePlan = Static<typeof CapturePlan>;

export const PlannedCapture = Type.Object({
  label: CaptureLabel,
  when: Type.Union([Type.Literal('steady'), Type.Literal('equal')]),
  phase: Type.Union([Type.Literal('waiting'), Type.Literal('recording')]),
  /** Until it starts if it stays as it is [s], or null while it is not as wished. */
  startsInS: nullable(Type.Number()),
  elapsedS: Type.Number(),
  /** It ends at the latest after so long [s]. */
  endsWithinS: Type.Number(),
  /** Expanded uncertainty of the capture [kPa]; it ends by itself at `sureAtKpa`. */
  expandedKpa: nullable(Type.Number()),
  sureAtKpa: Type.Number(),
});
export type PlannedCapture = Static<typeof PlannedCapture>;

/** What a capture has measured. */
const measured = {
  spreadKpa: nullable(Type.Number()),
  spreadExpandedKpa: nullable(Type.Number()),
  gapsKpa: Type.Array(nullable(Type.Number())),
  idleRpm: nullable(Type.Number()),
  roughnessScore: nullable(Type.Number()),
};

export const CaptureSummary = Type.Object({
  id: Type.String(),
  label: CaptureLabel,
  state: Type.Union([Type.Literal('recording'), Type.Literal('complete'), Type.Literal('interrupted')]),
  practice: Type.Boolean(),
  sourceAddress: Type.String(),
  startedAtMs: Type.Number(),
  durationS: Type.Number(),
  samples: Type.Integer(),
  cylinders: Type.Integer(),
  ...measured,
  /** Version that worked the figures out. */
  softwareVersion: Type.String(),
  /** Engine and air as they were written down; missing where nothing was. */
  conditions: Type.Optional(Type.String()),
});
export type CaptureSummary = Static<typeof CaptureSummary>;

/** `GET /api/captures/:id/recomputed`: its figures once more, from the raw samples, by this version. Nothing is stored. */
export const RecomputedCapture = Type.Object({
  /** As they are stored, by the version that is named there. */
  stored: CaptureSummary,
  softwareVersion: Type.String(),
  ...measured,
});
export type RecomputedCapture = Static<typeof RecomputedCapture>;

import Type, { type Static } from 'typebox';
import { Value } from 'typebox/value';

/**
 * The documented form of what `idlewright analyse --json` prints, written down apart from the program: these keys and
 * no others. A figure is null where it cannot be told, and then a reason stands beside it.
 */
const figure = Type.Union([Type.Number(), Type.Null()]);
const reason = Type.Optional(Type.String({ minLength: 10 }));
const closed = { additionalProperties: false };

const cycleRow = Type.Object(
  {
    startS: Type.Number(),
    endS: Type.Number(),
    meanVacuumKpa: figure,
    peakVacuumKpa: figure,
    pulseDepthKpa: figure,
    reason,
  },
  closed,
);

const cylinder = Type.Object(
  {
    name: Type.String(),
    cycles: Type.Integer({ minimum: 0 }),
    vacuumKpa: Type.Object({ mean: figure, sd: figure, standardError: figure, reason }, closed),
    peakVacuumKpa: figure,
    pulseDepthKpa: figure,
    missedPulsesS: Type.Union([Type.Array(Type.Number()), Type.Null()]),
    state: Type.String(),
    cycleTable: Type.Optional(Type.Array(cycleRow)),
    reason,
  },
  closed,
);

const roughness = Type.Object(
  {
    score: figure,
    cycleLengthCovPercent: figure,
    choppinessPercent: figure,
    hunting: Type.Object({ amplitudeRpm: figure, periodS: figure, reason }, closed),
    perCylinder: Type.Array(
      Type.Object(
        {
          name: Type.String(),
          depthCovPercent: figure,
          missedPerMinute: figure,
          lowestNormalisedCycle: figure,
          reason,
        },
        closed,
      ),
    ),
    reason,
  },
  closed,
);

const analysis = Type.Object(
  {
    durationS: Type.Number({ minimum: 0 }),
    samples: Type.Integer({ minimum: 1 }),
    sampleRateHz: figure,
    baroKpa: Type.Number(),
    engine: Type.Object(
      {
        cycles: Type.Integer({ minimum: 0 }),
        idleRpm: Type.Object({ mean: figure, sd: figure, reason }, closed),
        reason,
      },
      closed,
    ),
    cylinders: Type.Array(cylinder, { minItems: 1, maxItems: 8 }),
    reference: Type.String(),
    gapsKpa: Type.Array(
      Type.Object({ name: Type.String(), value: figure, expandedUncertainty: figure, reason }, closed),
    ),
    spreadKpa: Type.Object({ value: figure, expandedUncertainty: figure, reason }, closed),
    roughness,
    reason,
  },
  closed,
);

export type AnalysisJson = Static<typeof analysis>;

/** One JSON object and nothing else, of that form. Throws with the first thing that is otherwise. */
export function parsedAnalysis(stdout: string): AnalysisJson {
  const value: unknown = JSON.parse(stdout);
  if (Value.Check(analysis, value)) return value;
  throw new Error(`Not of the documented form: ${JSON.stringify([...Value.Errors(analysis, value)][0])}`);
}

/** Places with a null and no reason beside it, or a reason with nothing to explain. */
export function withoutReason(value: unknown, place = ''): string[] {
  if (value === null || typeof value !== 'object') return [];
  const found = Object.entries(value).flatMap(([key, inner]) => withoutReason(inner, `${place}/${key}`));
  if (Array.isArray(value)) return found;
  const nulls = Object.keys(value).filter((key) => (value as Record<string, unknown>)[key] === null);
  if (nulls.length > 0 && !('reason' in value)) found.push(`${place}: ${nulls}`);
  if (nulls.length === 0 && 'reason' in value) found.push(`${place}: a reason for nothing`);
  return found;
}

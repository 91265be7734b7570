/** The one object that `idlewright analyse --json` prints. What cannot be computed is null with a reason beside it. */
import type { SensorState } from '../signal/reading.ts';
import type { Analysis, CylinderAnalysis } from '../signal/recording-analysis.ts';

export interface RecordingFacts {
  readonly names: readonly string[];
  readonly durationS: number;
  readonly samples: number;
  readonly sampleRateHz: number | null;
  readonly baroKpa: number;
  readonly withCycles: boolean;
}

const STATE_REASONS: Record<SensorState, string> = {
  ok: 'no whole cycle was found',
  noisy: 'no whole cycle was found',
  'no-pulse': 'no intake pulse was found in this column',
  'open-to-air': 'the column reads barometric pressure: the hose is off',
  blocked: 'the column is flat: the hose is blocked or kinked',
  saturated: 'the sensor is at an end of its range',
  dead: 'the column never changes: the sensor is dead',
};
const TOO_FEW = 'too few whole cycles';
const NO_ENGINE = 'no running engine was found in the recording';

type Json = Record<string, unknown>;

export function analysisObject(analysis: Analysis, facts: RecordingFacts, reference: string): Json {
  const { idleRpm, spreadKpa, roughness } = analysis;
  const engineReason = analysis.engineCycles === 0 ? NO_ENGINE : TOO_FEW;
  return withReason(
    {
      durationS: facts.durationS,
      samples: facts.samples,
      sampleRateHz: facts.sampleRateHz,
      baroKpa: facts.baroKpa,
      engine: {
        cycles: analysis.engineCycles,
        idleRpm: withReason({ mean: idleRpm?.mean ?? null, sd: idleRpm?.sd ?? null }, engineReason),
        ...(analysis.truncated
          ? { reason: 'the recording has more cycles than are kept; the first ones are given' }
          : {}),
      },
      cylinders: analysis.cylinders.map((one, index) =>
        cylinderObject(one, facts.names[index]!, facts.withCycles),
      ),
      reference,
      gapsKpa: analysis.gapsKpa.map((gap, index) =>
        withReason(
          {
            name: facts.names[index]!,
            value: gap?.value ?? null,
            expandedUncertainty: gap?.expandedUncertainty ?? null,
          },
          gap === null ? 'there is no paired cycle to compare' : TOO_FEW,
        ),
      ),
      spreadKpa: withReason(
        { value: spreadKpa?.value ?? null, expandedUncertainty: spreadKpa?.expandedUncertainty ?? null },
        spreadKpa === null ? 'fewer than two cylinders can be compared' : TOO_FEW,
      ),
      roughness: withReason(
        {
          score: roughness.score,
          cycleLengthCovPercent: roughness.cycleLengthCovPercent,
          choppinessPercent: roughness.choppinessPercent,
          hunting: withReason(
            {
              amplitudeRpm: roughness.hunting?.amplitudeRpm ?? null,
              periodS: roughness.hunting?.periodS ?? null,
            },
            'no regular hunting between 0.1 and 2 times a second stands out',
          ),
          perCylinder: roughness.perCylinder.map((one, index) =>
            withReason({ name: facts.names[index]!, ...one }, cylinderReason(analysis.cylinders[index]!)),
          ),
        },
        engineReason,
      ),
    },
    'a single sample has no rate',
  );
}

function cylinderObject(one: CylinderAnalysis, name: string, withCycles: boolean): Json {
  const reason = cylinderReason(one);
  return withReason(
    {
      name,
      cycles: one.cycles,
      vacuumKpa: withReason(
        {
          mean: one.vacuumKpa?.mean ?? null,
          sd: one.vacuumKpa?.sd ?? null,
          standardError: one.vacuumKpa?.standardError ?? null,
        },
        reason,
      ),
      peakVacuumKpa: one.peakVacuumKpa,
      pulseDepthKpa: one.pulseDepthKpa,
      missedPulsesS: one.missedPulsesS,
      state: one.state,
      ...(withCycles
        ? {
            cycleTable: one.cycleTable.map((row) =>
              withReason({ ...row }, 'samples are missing in this cycle'),
            ),
          }
        : {}),
    },
    reason,
  );
}

function cylinderReason(one: CylinderAnalysis): string {
  return one.cycles > 0 && (one.state === 'ok' || one.state === 'noisy') ? TOO_FEW : STATE_REASONS[one.state];
}

/** Adds the reason where a value is null. */
function withReason(object: Json, reason: string): Json {
  return Object.values(object).some((value) => value === null) ? { ...object, reason } : object;
}

import type { Advice, CylinderReading, Update } from '../contract/live.ts';
import type { Reading } from '../signal/reading.ts';

export interface UpdateTimes {
  readonly sentAtMs: number;
  readonly lagMs: number;
}

/** The reading as the screen gets it: cylinders 1-based, figures to 0.1 Pa and 0.01 r/min. */
export function updateMessage(reading: Reading, advice: Advice, times: UpdateTimes): Update {
  const swapped = reading.swappedHoses;
  return {
    type: 'update',
    timeS: round(reading.timeS ?? 0, 1e4),
    sentAtMs: times.sentAtMs,
    lagMs: round(times.lagMs, 1e2),
    engine: {
      running: reading.engine.running,
      speedRpm: figure(reading.engine.speedRpm, 1e2),
      idleRpm: figure(reading.engine.idleRpm, 1e2),
      cycles: reading.engine.cycles,
    },
    cylinders: reading.cylinders.map((cylinder, cyl) => cylinderMessage(cylinder, cyl)),
    spreadKpa: figure(reading.spreadKpa),
    spreadExpandedKpa: figure(reading.spreadExpandedKpa),
    settling: reading.settling,
    verdict: reading.verdict,
    cyclesNeeded: reading.cyclesNeeded,
    swappedHoses: swapped?.map(([one, other]): [number, number] => [one + 1, other + 1]) ?? null,
    roughness: {
      score: figure(reading.roughness.score, 1e2),
      cycleLengthCovPercent: figure(reading.roughness.cycleLengthCovPercent),
      choppinessPercent: figure(reading.roughness.choppinessPercent),
      huntingAmplitudeRpm: figure(reading.roughness.hunting?.amplitudeRpm ?? null, 1e2),
      huntingPeriodS: figure(reading.roughness.hunting?.periodS ?? null, 1e2),
      depthCovPercent: reading.roughness.perCylinder.map((cylinder) => figure(cylinder.depthCovPercent)),
    },
    advice,
  };
}

/** What is known while no samples come: nothing. Sent once, so that no screen holds an old value. */
export function blankUpdate(cylinders: number, timeS: number, sentAtMs: number): Update {
  return {
    type: 'update',
    timeS: round(timeS, 1e4),
    sentAtMs,
    lagMs: 0,
    engine: { running: false, speedRpm: null, idleRpm: null, cycles: 0 },
    cylinders: Array.from({ length: cylinders }, (_, cyl) => ({
      cylinder: cyl + 1,
      sensor: 'dead',
      vacuumKpa: null,
      vacuumExpandedKpa: null,
      gapKpa: null,
      gapExpandedKpa: null,
      verdict: 'not-sure',
      settling: 'moving',
      lastCycleKpa: null,
      peakVacuumKpa: null,
      pulseDepthKpa: null,
      cycles: 0,
      missedPulsesPerMinute: null,
    })),
    spreadKpa: null,
    spreadExpandedKpa: null,
    settling: 'moving',
    verdict: 'not-sure',
    cyclesNeeded: null,
    swappedHoses: null,
    roughness: {
      score: null,
      cycleLengthCovPercent: null,
      choppinessPercent: null,
      huntingAmplitudeRpm: null,
      huntingPeriodS: null,
      depthCovPercent: Array.from({ length: cylinders }, () => null),
    },
    advice: null,
  };
}

function cylinderMessage(reading: Reading['cylinders'][number], cyl: number): CylinderReading {
  return {
    cylinder: cyl + 1,
    sensor: reading.sensor,
    vacuumKpa: figure(reading.vacuumKpa),
    vacuumExpandedKpa: figure(reading.vacuumExpandedKpa),
    gapKpa: figure(reading.gapKpa),
    gapExpandedKpa: figure(reading.gapExpandedKpa),
    verdict: reading.verdict,
    settling: reading.settling,
    lastCycleKpa: figure(reading.lastCycleKpa),
    peakVacuumKpa: figure(reading.peakVacuumKpa),
    pulseDepthKpa: figure(reading.pulseDepthKpa),
    cycles: reading.cycles,
    missedPulsesPerMinute: figure(reading.missedPulsesPerMinute, 1e2),
  };
}

/** A figure that is not finite is one that is not known. */
function figure(value: number | null, perUnit = 1e4): number | null {
  return value === null || !Number.isFinite(value) ? null : round(value, perUnit);
}

function round(value: number, perUnit: number): number {
  return Math.round(value * perUnit) / perUnit;
}

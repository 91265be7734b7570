import { refillEngine } from '../engines/refill-engine.ts';

/** A stretch of a running engine as raw counts, with what is true of it. */
export interface PlayedEngine {
  readonly name: string;
  readonly cylinders: number;
  readonly sampleRateHz: number;
  /** By row, then channel. */
  readonly counts: readonly (readonly number[])[];
  /** Mean vacuum of every cylinder over all whole cycles [kPa]. */
  readonly vacuumKpa: readonly number[];
  /** The same above the mean of all cylinders [kPa]. */
  readonly gapsKpa: readonly number[];
  /** Standard deviation of single cycles about these two [kPa]. */
  readonly vacuumScatterKpa: readonly number[];
  readonly gapScatterKpa: readonly number[];
  /** Slowest and fastest single cycle [r/min]. */
  readonly slowestRpm: number;
  readonly fastestRpm: number;
}

export const FULL_SCALE_COUNTS = 1023;
/** Long enough that no schedule plays it to its end between two unplugs. */
const LENGTH_S = 120;
const RATE_HZ = 250;

const LAYOUTS = {
  'parallel twin': [0, 360],
  'twin with an offset crank': [0, 450],
  triple: [0, 240, 480],
  'four in line': [0, 540, 180, 360],
} as const;

/** Each layout twice: with its screws as found and after someone has turned them. */
export const ENGINE_PAIRS: readonly (() => readonly [PlayedEngine, PlayedEngine])[] = Object.entries(
  LAYOUTS,
).map(([name, angles], layout) => {
  let made: readonly [PlayedEngine, PlayedEngine] | null = null;
  return () => {
    made ??= [
      played(`${name}, as found`, angles, layout, [1, 0.93, 1.05, 0.97], 950 + 60 * layout),
      played(`${name}, screws turned`, angles, layout, [0.9, 1.08, 0.98, 1.12], 1_250 - 50 * layout),
    ];
    return made;
  };
});

function played(
  name: string,
  intakeAnglesDeg: readonly number[],
  layout: number,
  openings: readonly number[],
  rpm: number,
): PlayedEngine {
  const channels = intakeAnglesDeg.map((_, channel) => channel);
  const recording = refillEngine({
    seed: 71 + layout * 2 + rpm,
    shapeSeed: 5 + layout,
    durationS: LENGTH_S,
    sampleRateHz: RATE_HZ,
    intakeAnglesDeg,
    rpm,
    opening: channels.map((channel) => openings[channel]!),
    cycleScatter: 0.008,
    depthScatter: 0.02,
    noiseKpa: 0.15,
  });
  const { truth } = recording;
  const starts = truth.cycleStartsS[0]!;
  const vacuumKpa = channels.map((channel) =>
    truth.meanVacuumKpa(channel, starts[0]!, starts[starts.length - 2]!),
  );
  const mean = vacuumKpa.reduce((sum, kpa) => sum + kpa, 0) / vacuumKpa.length;
  const gapsKpa = vacuumKpa.map((kpa) => kpa - mean);
  const single = channels.map((channel) =>
    Array.from(truth.cycleStartsS[channel]!.subarray(0, starts.length - 1), (startS) =>
      truth.meanVacuumKpa(channel, startS, startS + truth.cycleLengthFrom(startS)),
    ),
  );
  const meanOfCycle = single[0]!.map(
    (_, cycle) =>
      channels.reduce((sum, channel) => sum + (single[channel]![cycle] ?? Number.NaN), 0) / channels.length,
  );
  const rpms = truth.cycleRpm.flatMap((of) => [...of]);
  return {
    name,
    cylinders: channels.length,
    sampleRateHz: RATE_HZ,
    counts: Array.from(recording.timeS, (_, row) =>
      channels.map((channel) => countsOf(recording.kpa[channel]![row]!)),
    ),
    vacuumKpa,
    gapsKpa,
    vacuumScatterKpa: channels.map((channel) => scatter(single[channel]!, vacuumKpa[channel]!)),
    gapScatterKpa: channels.map((channel) =>
      scatter(
        single[channel]!.map((kpa, cycle) => kpa - meanOfCycle[cycle]!),
        gapsKpa[channel]!,
      ),
    ),
    slowestRpm: rpms.reduce((a, b) => Math.min(a, b)),
    fastestRpm: rpms.reduce((a, b) => Math.max(a, b)),
  };
}

function scatter(values: readonly number[], about: number): number {
  const known = values.filter(Number.isFinite);
  return Math.sqrt(known.reduce((sum, value) => sum + (value - about) ** 2, 0) / known.length);
}

/** MPX4115A data sheet: Vout = Vs (0.009 P - 0.095), P in kPa. */
function countsOf(kpa: number): number {
  const share = 0.009 * kpa - 0.095;
  return Math.max(0, Math.min(FULL_SCALE_COUNTS, Math.round(share * FULL_SCALE_COUNTS)));
}

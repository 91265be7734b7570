/**
 * What a simulated engine and its sensors are told. Both engines take the same words, so that a test can be run
 * on either. Channels are 0-based; channel i is the tap with the i-th intake angle unless hoses are swapped.
 */
export interface EngineSpec extends CrankSpec, CombustionSpec, SensingSpec {
  /** Everything that chance decides in this run. */
  readonly seed: number;
  /** What engine it is: pulse shapes, volumes, levels. Default: the seed. The same with other seeds: the same engine again. */
  readonly shapeSeed?: number;
  readonly durationS: number;
  /** Barometric pressure [kPa absolute], default 101.325. */
  readonly baroKpa?: number;
}

export interface CrankSpec {
  /** Default 4. */
  readonly strokes?: 4 | 2;
  /** Crank angle [deg] at which each tap's pressure begins its fall. */
  readonly intakeAnglesDeg: readonly number[];
  /** Shared manifold: angles [deg after its first] of a tap's further pulses. */
  readonly furtherPulsesDeg?: readonly (readonly number[])[];
  /** Mean speed [r/min], or its course over time [s]. Time below 0 is asked for too: the engine has been running. */
  readonly rpm: number | ((timeS: number) => number);
  /** Relative standard deviation of cycle length, independent from cycle to cycle. Default 0. */
  readonly cycleScatter?: number;
  /** Slow wander of the speed: first-order autoregressive over cycles. */
  readonly wander?: { readonly sd: number; readonly correlation: number };
  readonly hunting?: {
    readonly amplitudeRpm: number;
    readonly periodS: number;
  };
  /** Relative amplitude of the speed's ripple within a cycle. Default 0. */
  readonly speedRipple?: number;
  /** Relative loss of speed after a missed pulse. Default 0.015. */
  readonly missSlowdown?: number;
}

export interface CombustionSpec {
  /** Relative standard deviation of a pulse's strength from cycle to cycle. Default 0. */
  readonly depthScatter?: number;
  /** Lag-1 correlation of the strength. Default 0. */
  readonly depthCorrelation?: number;
  /** Slow movement of the pressure level of each cylinder: standard deviation [kPa] and lag-1 correlation over cycles. */
  readonly levelScatter?: {
    readonly sdKpa: number;
    readonly correlation: number;
  };
  /** Pulses that fail; `cycle` counts a tap's first pulses from time 0. `strength` 0 (absent) … 0.4 (weak). */
  readonly missed?: readonly {
    readonly channel: number;
    readonly cycle: number;
    readonly strength: number;
  }[];
  /** Chance that a pulse fails by itself, never two running. Default 0. */
  readonly missedChance?: number;
  /** Strongest that a pulse missed by chance may be. Default 0.4. */
  readonly missedStrength?: number;
  /** Pulse strength of each tap: 1 healthy, 0 dead. */
  readonly strength?: readonly number[];
  /** Relative throttle opening of each tap: 1 is nominal, 0.3 nearly closed off. */
  readonly opening?: readonly number[];
  /** A turned screw: from `atS` on the tap's opening is multiplied. */
  readonly openingSteps?: readonly {
    readonly channel: number;
    readonly atS: number;
    readonly factor: number;
  }[];
  /** A turned screw given by what it does: from `atS` on the tap's absolute pressure is moved. */
  readonly levelSteps?: readonly {
    readonly channel: number;
    readonly atS: number;
    readonly kpa: number;
  }[];
  /** Course of the common throttle over time, 1 at idle. */
  readonly throttle?: (timeS: number) => number;
  /** Course of each tap's own throttle or slide over time, on top of the common one. Refilling ports only. */
  readonly slides?: readonly ((timeS: number) => number)[];
  /** Backfires: a single positive spike of pressure at a tap. */
  readonly pops?: readonly {
    readonly channel: number;
    readonly atS: number;
    readonly kpa: number;
  }[];
}

export interface HoseSpec {
  /** First-order lag [s]. */
  readonly lagS?: number;
  /** Organ-pipe ringing: natural frequency [Hz] and damping ratio (default 0.2). */
  readonly ringHz?: number;
  readonly ringDamping?: number;
  /** A restrictor that leaves about this pulse depth [kPa]. */
  readonly restrictedToKpa?: number;
}

export type SensorFaultKind = 'off' | 'blocked' | 'dead' | 'saturated';

export interface SensingSpec {
  readonly sampleRateHz: number;
  /** One for all taps, or one each. */
  readonly hose?: HoseSpec | readonly HoseSpec[];
  /** Standard deviation of sensor noise [kPa]. Default 0. */
  readonly noiseKpa?: number;
  /** Converter width; counts cover 15…115 kPa. Default: no rounding at all. */
  readonly bits?: number | null;
  /** Channel i is sampled i times this after the row's time [s]. Default 0. */
  readonly skewS?: number;
  /** Single-sample ignition spikes per second and channel. Default 0. */
  readonly spikesPerS?: number;
  readonly spikeKpa?: number;
  /** Stretches without rows. */
  readonly gaps?: readonly { readonly atS: number; readonly lengthS: number }[];
  /** Standard deviation of the time stamps' error [s]; stamps never run backwards. Default 0. */
  readonly stampJitterS?: number;
  /** off: hose fell off, reads the air. blocked: flat. dead: lowest count. saturated: highest count. */
  readonly faults?: readonly {
    readonly channel: number;
    readonly fromS: number;
    readonly kind: SensorFaultKind;
  }[];
  /** Two channels whose hoses are on each other's cylinder. */
  readonly swappedHoses?: readonly [number, number];
}

export const SENSOR_LOW_KPA = 15;
export const SENSOR_HIGH_KPA = 115;
export const DEFAULT_BARO_KPA = 101.325;
export const DEFAULT_MISSED_STRENGTH = 0.4;

export function cycleDegOf(spec: CrankSpec): 720 | 360 {
  return (spec.strokes ?? 4) === 4 ? 720 : 360;
}

export function rpmAt(spec: CrankSpec, timeS: number): number {
  return typeof spec.rpm === 'number' ? spec.rpm : spec.rpm(timeS);
}

/** Refuses what would make no engine. */
export function checkSpec(spec: EngineSpec): void {
  const taps = spec.intakeAnglesDeg.length;
  const fail = (what: string): never => {
    throw new Error(`The simulated engine cannot be run: ${what}`);
  };
  if (taps < 1) fail('it has no cylinder');
  if (!(spec.durationS > 0)) fail(`its duration is ${spec.durationS} s`);
  if (!(spec.sampleRateHz > 0)) fail(`its sample rate is ${spec.sampleRateHz} Hz`);
  for (const list of [spec.strength, spec.opening, spec.furtherPulsesDeg]) {
    if (list && list.length !== taps) fail(`${list.length} values were given for ${taps} taps`);
  }
}

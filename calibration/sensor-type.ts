/** What a data sheet says of a pressure sensor. */
export interface SensorType {
  /** As boards send it: up to 16 characters `A-Z a-z 0-9 _ -`. */
  readonly name: string;
  /** Other part numbers with the same transfer function and error band. */
  readonly sameAs: readonly string[];
  /** What the pressure of the transfer function is counted from: a perfect vacuum, or the air around the sensor. */
  readonly measures: 'absolute' | 'gauge';
  readonly transfer: TransferFunction;
  /** Ends of the specified range, counted as `measures` says [kPa]. */
  readonly lowestKpa: number;
  readonly highestKpa: number;
  /** Half-width of the error band between 0 and 85 °C [kPa]. */
  readonly errorBandKpa: number;
  /** Corners of the factor by which temperature widens the band: straight between them, constant outside. */
  readonly temperatureMultiplier: readonly (readonly [celsius: number, multiplier: number])[];
  /** Document that the figures come from. */
  readonly source: string;
  /** Names of those figures that are remembered and not seen in the document. */
  readonly fromMemory: readonly (keyof SensorType)[];
}

/** Straight transfer functions. */
export type TransferFunction =
  | {
      /** Output as a share of the supply: Vout = VS (perKpa P + zero). */
      readonly kind: 'ratiometric';
      readonly perKpa: number;
      readonly zero: number;
    }
  | {
      /** The count is the pressure itself. */
      readonly kind: 'digital';
      readonly kpaPerCount: number;
      /** Pressure that a count of 0 stands for [kPa]. */
      readonly kpaAtZero: number;
    };

/**
 * Factor on the error band at a temperature.
 *
 * @example temperatureMultiplierAt(MPX4115A, -20) // 2
 */
export function temperatureMultiplierAt(type: SensorType, celsius: number): number {
  const corners = type.temperatureMultiplier;
  const after = corners.findIndex(([corner]) => corner >= celsius);
  if (after === 0) return corners[0]![1];
  if (after < 0) return corners.at(-1)?.[1] ?? 1;
  const [fromC, from] = corners[after - 1]!;
  const [toC, to] = corners[after]!;
  return from + ((to - from) * (celsius - fromC)) / (toC - fromC);
}

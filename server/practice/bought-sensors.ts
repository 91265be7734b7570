/**
 * Errors of sensors as they come out of the bag: reading = gain x pressure + offset. Made up; each stays within the
 * ±1.5 kPa that the data sheet of the MPX4115A allows between 15 and 115 kPa.
 */
export const BOUGHT_SENSORS: readonly { readonly gain: number; readonly offsetKpa: number }[] = [
  { gain: 1.008, offsetKpa: -0.2 },
  { gain: 0.993, offsetKpa: 1.1 },
  { gain: 1.011, offsetKpa: -1.2 },
  { gain: 0.996, offsetKpa: -0.5 },
  { gain: 1.004, offsetKpa: 0.7 },
  { gain: 1, offsetKpa: -1 },
  { gain: 0.99, offsetKpa: 0.3 },
  { gain: 1.006, offsetKpa: 0.5 },
];

export const EXACT_SENSOR = { gain: 1, offsetKpa: 0 } as const;

export type PracticeSensors = 'exact' | 'as-bought';

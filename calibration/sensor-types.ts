/** Common manifold pressure sensors, as their data sheets have them. */
import type { SensorType } from './sensor-type.ts';

/** Straight from 3 at -40 °C to 1 at 0 °C, 1 up to 85 °C, straight to 3 at 125 °C. */
const THREE_ONE_THREE = [
  [-40, 3],
  [0, 1],
  [85, 1],
  [125, 3],
] as const;

export const MPX4115A: SensorType = {
  name: 'MPX4115A',
  sameAs: ['MPXA4115A', 'MPXA6115A', 'MPXH6115A', 'MPXAZ4115A', 'MPXHZ6115A'],
  measures: 'absolute',
  transfer: { kind: 'ratiometric', perKpa: 0.009, zero: -0.095 },
  lowestKpa: 15,
  highestKpa: 115,
  errorBandKpa: 1.5,
  temperatureMultiplier: THREE_ONE_THREE,
  source: 'Motorola MPX4115A data sheet, transfer function, temperature and pressure error bands',
  // That the other part numbers follow the same function.
  fromMemory: ['sameAs'],
};

export const MPX4250A: SensorType = {
  name: 'MPX4250A',
  sameAs: ['MPXA4250A'],
  measures: 'absolute',
  transfer: { kind: 'ratiometric', perKpa: 0.004, zero: -0.04 },
  lowestKpa: 20,
  highestKpa: 250,
  errorBandKpa: 3.45,
  temperatureMultiplier: THREE_ONE_THREE,
  source: 'Freescale MPX4250A data sheet, transfer function; 1.5 % of span between 0 and 85 °C',
  fromMemory: ['errorBandKpa'],
};

export const MPXH6400A: SensorType = {
  name: 'MPXH6400A',
  sameAs: ['MPXHZ6400A'],
  measures: 'absolute',
  transfer: { kind: 'ratiometric', perKpa: 0.002421, zero: -0.00842 },
  lowestKpa: 20,
  highestKpa: 400,
  // 1.5 % of the span of 380 kPa.
  errorBandKpa: 5.7,
  temperatureMultiplier: THREE_ONE_THREE,
  source: 'Freescale MPXH6400A data sheet, rev. 2 (2007): range, 0.2 to 4.8 V at 5 V, 1.5 % of span',
  fromMemory: ['transfer', 'temperatureMultiplier'],
};

export const MPXV6115V: SensorType = {
  name: 'MPXV6115V',
  sameAs: ['MPXV6115VC6U'],
  measures: 'gauge',
  transfer: { kind: 'ratiometric', perKpa: 0.007652, zero: 0.92 },
  lowestKpa: -115,
  highestKpa: 0,
  errorBandKpa: 1.725,
  temperatureMultiplier: THREE_ONE_THREE,
  source: 'Motorola Sensor Device Data p. 3-416, transfer function of the MPXV6115VC6U',
  fromMemory: ['errorBandKpa', 'temperatureMultiplier'],
};

/**
 * Sensors that compute their pressure themselves, when the board sends it in whole pascals. Range and error band
 * are those of common barometric parts.
 */
export const DIGITAL_PA: SensorType = {
  name: 'DIGITAL-PA',
  sameAs: [],
  measures: 'absolute',
  transfer: { kind: 'digital', kpaPerCount: 0.001, kpaAtZero: 0 },
  lowestKpa: 30,
  highestKpa: 110,
  errorBandKpa: 0.25,
  temperatureMultiplier: [
    [-40, 2],
    [0, 1],
    [65, 1],
    [85, 2],
  ],
  source: 'Our own type for parts of the kind of the Bosch BMP180 (30 to 110 kPa) and TE MS5611',
  fromMemory: ['errorBandKpa', 'temperatureMultiplier'],
};

/** The same in tens of pascals, for boards that count in 16 bits. */
export const DIGITAL_10PA: SensorType = {
  ...DIGITAL_PA,
  name: 'DIGITAL-10PA',
  transfer: { kind: 'digital', kpaPerCount: 0.01, kpaAtZero: 0 },
};

export const SENSOR_TYPES: readonly SensorType[] = [
  MPX4115A,
  MPX4250A,
  MPXH6400A,
  MPXV6115V,
  DIGITAL_PA,
  DIGITAL_10PA,
];

/**
 * The type of a part number, suffixes of the package (P, S, SX …) and case left aside.
 *
 * @param name as the board or the person gives it
 * @param own types of the shop's own, looked at first
 * @returns null for a part that is not known
 */
export function findSensorType(name: string, own: readonly SensorType[] = []): SensorType | null {
  const wanted = name.trim().toUpperCase();
  const known = [...own, ...SENSOR_TYPES];
  const exact = known.find((type) => namesOf(type).includes(wanted));
  if (exact) return exact;
  const beginning = SENSOR_TYPES.filter((type) => type.transfer.kind === 'ratiometric').find((type) =>
    namesOf(type).some((part) => wanted.startsWith(part) && PACKAGE_SUFFIX.test(wanted.slice(part.length))),
  );
  return beginning ?? null;
}

const PACKAGE_SUFFIX = /^[A-Z0-9]{1,5}$/;

function namesOf(type: SensorType): string[] {
  return [type.name, ...type.sameAs].map((part) => part.toUpperCase());
}

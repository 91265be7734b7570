import { describe, expect, it } from 'vitest';
import {
  absoluteKpa,
  channelScale,
  countState,
  measurableRangeKpa,
} from '../../calibration/counts-to-kpa.ts';
import { ownSensorType } from '../../calibration/own-sensor-type.ts';
import { pressureRecord } from '../../calibration/pressure-record.ts';
import { temperatureMultiplierAt } from '../../calibration/sensor-type.ts';
import {
  DIGITAL_10PA,
  DIGITAL_PA,
  findSensorType,
  MPX4115A,
  MPX4250A,
  MPXH6400A,
  MPXV6115V,
  SENSOR_TYPES,
} from '../../calibration/sensor-types.ts';

const TYPE_BY_NAME = { MPX4115A, MPX4250A, MPXH6400A, MPXV6115V };

describe('sensor types', () => {
  it.each([
    // Motorola MPX4115A data sheet at VS 5.1 V: offset 0.204 V, full scale output 4.794 V.
    ['MPX4115A', 5.1, 15, 0.204],
    ['MPX4115A', 5.1, 115, 4.794],
    ['MPX4115A', 5.1, 101.325, 4.16632],
    // Freescale MPX4250A data sheet, transfer function.
    ['MPX4250A', 5.1, 20, 0.204],
    ['MPX4250A', 5.1, 100, 1.836],
    ['MPX4250A', 5.1, 250, 4.896],
    // Freescale MPXH6400A data sheet: 0.2 to 4.8 V over 20 to 400 kPa.
    ['MPXH6400A', 5, 20, 0.2],
    ['MPXH6400A', 5, 400, 4.8],
    // Motorola Sensor Device Data p. 3-416: 2.30 V at -60 kPa; 4.6 V at 0.
    ['MPXV6115V', 5, -60, 2.3],
    ['MPXV6115V', 5, 0, 4.6],
    ['MPXV6115V', 5, -115, 0.2],
  ] as const)('%s on %d V gives at %d kPa the %d V of its data sheet', (name, supplyV, kpa, volts) => {
    const type = TYPE_BY_NAME[name];
    const ambientKpa = 101.325;
    const scale = channelScale(type, 1_000_000);
    const absolute = type.measures === 'gauge' ? ambientKpa + kpa : kpa;
    // By way of counts: the count of these volts is this pressure.
    const read = absoluteKpa(scale, (1_000_000 * volts) / supplyV, ambientKpa);
    // Data sheets print volts to a few millivolts.
    expect(Math.abs(read - absolute)).toBeLessThan(0.005 / supplyV / Math.abs(scaleSlope(name)));
  });

  it('have the sensitivity that the data sheet prints: 45.9 mV/kPa', () => {
    expect(5.1 * scaleSlope('MPX4115A')).toBeCloseTo(0.0459, 6);
  });

  it('widen their band with temperature as the data sheet draws it', () => {
    // 3 at -40 °C, 1 from 0 to 85 °C, 3 at 125 °C, linear between.
    const corners = [
      [-60, 3],
      [-40, 3],
      [-20, 2],
      [0, 1],
      [25, 1],
      [85, 1],
      [105, 2],
      [125, 3],
      [150, 3],
    ] as const;
    for (const [celsius, multiplier] of corners)
      expect(temperatureMultiplierAt(MPX4115A, celsius)).toBeCloseTo(multiplier, 12);
  });

  it('have names that a board can send, a source, and no remembered figure that is not marked as such', () => {
    for (const type of SENSOR_TYPES) {
      for (const name of [type.name, ...type.sameAs]) expect(name).toMatch(/^[A-Za-z0-9_-]{1,16}$/);
      expect(type.source.length).toBeGreaterThan(10);
      expect(type.highestKpa).toBeGreaterThan(type.lowestKpa);
      expect(type.errorBandKpa).toBeGreaterThan(0);
      for (const field of type.fromMemory) expect(type).toHaveProperty(field);
    }
    expect(new Set(SENSOR_TYPES.map(({ name }) => name)).size).toBe(SENSOR_TYPES.length);
  });

  it('are found by part number, family and package', () => {
    expect(findSensorType('MPX4115A')).toBe(MPX4115A);
    expect(findSensorType(' mpxa4115a ')).toBe(MPX4115A);
    expect(findSensorType('MPX4115AP')).toBe(MPX4115A);
    expect(findSensorType('MPXH6115AC6U')).toBe(MPX4115A);
    expect(findSensorType('MPX4250AP')).toBe(MPX4250A);
    expect(findSensorType('DIGITAL-10PA')).toBe(DIGITAL_10PA);
    expect(findSensorType('unknown')).toBeNull();
    expect(findSensorType('DIGITAL-PAX')).toBeNull();
    expect(findSensorType('')).toBeNull();
  });
});

describe('an own sensor type', () => {
  const entered = {
    name: 'BAR1',
    measures: 'absolute',
    low: { supplyShare: 0.1, kpa: 20 },
    high: { supplyShare: 0.9, kpa: 105 },
    errorBandKpa: 1,
  } as const;

  it('goes through its two points and is looked up before the list', () => {
    const made = ownSensorType(entered);
    if (!made.ok) throw new Error(made.reason);
    const scale = channelScale(made.type, 4095);
    expect(absoluteKpa(scale, 0.1 * 4095, 0)).toBeCloseTo(20, 10);
    expect(absoluteKpa(scale, 0.9 * 4095, 0)).toBeCloseTo(105, 10);
    expect(findSensorType('bar1', [made.type])).toBe(made.type);
    expect(temperatureMultiplierAt(made.type, -30)).toBe(1);
  });

  it('may fall with pressure', () => {
    const made = ownSensorType({
      ...entered,
      low: { supplyShare: 0.9, kpa: 20 },
      high: { supplyShare: 0.1, kpa: 105 },
    });
    if (!made.ok) throw new Error(made.reason);
    const scale = channelScale(made.type, 1000);
    expect(absoluteKpa(scale, 900, 0)).toBeCloseTo(20, 10);
    expect(countState(scale, 950)).toBe('below-range');
    expect(countState(scale, 50)).toBe('above-range');
    expect(measurableRangeKpa(scale, 0).lowestKpa).toBeCloseTo(20, 10);
    expect(measurableRangeKpa(scale, 0).highestKpa).toBeCloseTo(105, 10);
  });

  it.each([
    ['bad-name', { name: 'ÄÖ' }],
    ['bad-name', { name: 'seventeen-letters' }],
    ['bad-points', { low: { supplyShare: 3, kpa: 20 } }],
    ['bad-points', { low: { supplyShare: Number.NaN, kpa: 20 } }],
    ['bad-points', { high: { supplyShare: 0.9, kpa: Infinity } }],
    ['points-too-close', { high: { supplyShare: 0.15, kpa: 105 } }],
    ['points-too-close', { high: { supplyShare: 0.9, kpa: 21 } }],
    ['bad-error-band', { errorBandKpa: 0 }],
    ['bad-error-band', { errorBandKpa: Number.NaN }],
  ])('is refused: %s', (reason, change) => {
    expect(ownSensorType({ ...entered, ...change })).toEqual({ ok: false, reason });
  });
});

describe('counts', () => {
  it('become pressure by the transfer function, then by the channel’s own correction', () => {
    const plain = channelScale(MPX4115A, 1023);
    // P = (512/1023 + 0.095) / 0.009
    expect(absoluteKpa(plain, 512, 101)).toBeCloseTo(66.1654, 4);
    const corrected = channelScale(MPX4115A, 1023, { gain: 1.01, offsetKpa: -0.7 });
    expect(absoluteKpa(corrected, 512, 101)).toBeCloseTo(1.01 * 66.1654 - 0.7, 3);
    expect(corrected.lowestCount).toBe(plain.lowestCount);
  });

  it('of a gauge sensor are counted from the air around it, corrected too', () => {
    const plain = channelScale(MPXV6115V, 1023);
    expect(absoluteKpa(plain, 1023 * 0.92, 101.3)).toBeCloseTo(101.3, 10);
    expect(absoluteKpa(plain, 1023 * (0.92 - 60 * 0.007652), 95)).toBeCloseTo(35, 10);
    const corrected = channelScale(MPXV6115V, 1023, { gain: 1.02, offsetKpa: 0.5 });
    expect(absoluteKpa(corrected, 500, 95)).toBeCloseTo(1.02 * absoluteKpa(plain, 500, 95) + 0.5, 10);
  });

  it('of a digital sensor are pascals, whatever the full scale', () => {
    for (const fullScale of [200_000, 16_777_215]) {
      expect(absoluteKpa(channelScale(DIGITAL_PA, fullScale), 69_964, 0)).toBeCloseTo(69.964, 12);
      expect(absoluteKpa(channelScale(DIGITAL_10PA, fullScale), 10_009, 0)).toBeCloseTo(100.09, 12);
    }
  });

  it('say when they cannot be believed', () => {
    const scale = channelScale(MPX4115A, 1023);
    const states = [0, 1, 41, 42, 500, 960, 962, 1022, 1023, 4000, -1, Number.NaN].map((count) =>
      countState(scale, count),
    );
    // 15 kPa is count 40.9, 115 kPa count 961.6.
    expect(states).toEqual([
      'at-zero',
      'below-range',
      'ok',
      'ok',
      'ok',
      'ok',
      'above-range',
      'above-range',
      'at-full-scale',
      'at-full-scale',
      'missing',
      'missing',
    ]);
    expect(measurableRangeKpa(scale, 0).lowestKpa).toBeCloseTo(15, 10);
    expect(measurableRangeKpa(scale, 0).highestKpa).toBeCloseTo(115, 10);
    expect(measurableRangeKpa(channelScale(MPXV6115V, 1023), 100).highestKpa).toBeCloseTo(100, 10);
  });

  it('are not scaled by what cannot be', () => {
    expect(() => channelScale(MPX4115A, 0)).toThrow(RangeError);
    expect(() => channelScale(MPX4115A, 1023, { gain: 0, offsetKpa: 0 })).toThrow(RangeError);
    expect(() => channelScale(MPX4115A, 1023, { gain: 1, offsetKpa: Number.NaN })).toThrow(RangeError);
  });

  it('make a record in which missing and saturated samples are holes', () => {
    const scale = channelScale(MPX4115A, 1023);
    const record = pressureRecord([0, 0.1, 0.2, 0.3], [[500, -1, 1023, 0]], [scale], 101);
    expect(Array.from(record.absoluteKpa[0]!)).toEqual([
      absoluteKpa(scale, 500, 101),
      Number.NaN,
      Number.NaN,
      Number.NaN,
    ]);
    expect(record.saturatedShare).toEqual([0.5]);
    expect(record.resolutionKpa[0]).toBeCloseTo(1 / 1023 / 0.009, 12);
    expect(() => pressureRecord([0, 1], [[1]], [scale], 101)).toThrow(RangeError);
  });
});

function scaleSlope(name: keyof typeof TYPE_BY_NAME): number {
  const { transfer } = TYPE_BY_NAME[name];
  return transfer.kind === 'ratiometric' ? transfer.perKpa : Number.NaN;
}

import { describe, expect, test } from 'vitest';
import { differenceUncertainty, readingUncertainty } from '../../../calibration/reading-uncertainty.ts';
import { MPX4115A } from '../../../calibration/sensor-types.ts';
import { channelScalesFor, channelScalesOf } from '../../../server/session/channel-scales.ts';
import { calibratedBoard } from './calibrated-board.ts';
import { BOARD } from './session-bench.ts';

const identity = (sensorTypes: string[], boardId = 'b') => ({
  ...BOARD,
  boardId,
  sensorTypes,
  fullScaleCounts: 1023,
});

describe('from counts to pressure', () => {
  test('follows the transfer function of the data sheet: Vout = VS (0.009 P - 0.095), Motorola MPX4115A', () => {
    const scales = channelScalesFor(identity(['MPX4115A']));
    for (const kpa of [15, 50, 101.325, 115]) {
      expect(scales.absoluteKpa(0, 1023 * (0.009 * kpa - 0.095), 100)).toBeCloseTo(kpa, 9);
    }
    expect(scales.trouble).toBeNull();
  });

  test('a sensor that measures from the air around it counts from the barometric pressure', () => {
    // Motorola Sensor Device Data p. 3-416: Vout = VS (0.007652 P + 0.92), 2.30 V of 5 V at -60 kPa.
    const scales = channelScalesFor(identity(['MPXV6115V']));
    expect(scales.absoluteKpa(0, (1023 * 2.304) / 5, 98)).toBeCloseTo(98 - 60, 1);
  });

  test('an unknown sensor shows no pressure and the person is told; the others are measured', () => {
    const scales = channelScalesFor(identity(['unknown', 'MPX4115A']));
    expect(scales.absoluteKpa(0, 500, 100)).toBeNaN();
    expect(scales.absoluteKpa(1, 500, 100)).toBeGreaterThan(15);
    expect(scales.trouble).toBe('board-unknown-sensor');
    expect(scales.instrumentOptions(2).sensorRanges?.[0]).toBeNull();
  });

  test('a missing count is no pressure', () => {
    expect(channelScalesFor(identity(['MPX4115A'])).absoluteKpa(0, -1, 100)).toBeNaN();
  });

  test("without a calibration the data sheet's band is the uncertainty, of a difference that of two sensors", () => {
    const { standardUncertaintyKpa, differenceUncertaintyKpa } = channelScalesFor(
      identity(['MPX4115A', 'MPX4115A']),
    ).instrumentOptions(2);
    // GUM (JCGM 100), 4.3.7: half-width / sqrt(3).
    expect(standardUncertaintyKpa?.[0]).toBeCloseTo(1.5 / Math.sqrt(3), 12);
    expect(differenceUncertaintyKpa?.[0]).toBeCloseTo((1.5 / Math.sqrt(3)) * Math.SQRT2, 12);
  });

  test('a calibration corrects the channels and its uncertainty is that of reading and difference', () => {
    const types = [MPX4115A, MPX4115A];
    const board = calibratedBoard('b', types, [
      { gain: 1.01, offsetKpa: -0.4 },
      { gain: 1, offsetKpa: 0 },
    ]);
    const known = { types, calibration: { id: 'c-1', board }, temperatureCelsius: 20 };
    const scales = channelScalesFor(identity(['MPX4115A', 'MPX4115A']), known);
    const plain = channelScalesFor(identity(['MPX4115A', 'MPX4115A']));
    expect(scales.absoluteKpa(0, 500, 100)).toBeCloseTo(1.01 * plain.absoluteKpa(0, 500, 100) - 0.4, 9);
    expect(scales.absoluteKpa(1, 500, 100)).toBe(plain.absoluteKpa(1, 500, 100));
    const by = scales.instrumentOptions(2).calibration!;
    const conditions = { types, temperatureCelsius: 20 };
    for (const kpa of [35, 60]) {
      expect(by.reading(1, kpa)).toBe(readingUncertainty(board, 1, kpa, conditions));
      expect(by.gap(1, 0, [kpa, kpa])).toBe(differenceUncertainty(board, 1, 0, [kpa, kpa], conditions));
      expect(by.gap(1, 'mean', [kpa, kpa])).toBe(
        differenceUncertainty(board, 1, 'mean', [kpa, kpa], conditions),
      );
      expect(by.between(0, 1, [kpa, kpa])).toBeLessThan(by.reading(0, kpa));
    }
    expect(scales.record).toMatchObject({ calibrationId: 'c-1', calibration: { boardId: 'b' } });
  });

  test('the calibration of another board or of more channels is never used: that is a mistake of the caller', () => {
    const types = [MPX4115A, MPX4115A];
    const board = calibratedBoard('other', types);
    const wrong = { types, calibration: { id: 'c-1', board }, temperatureCelsius: null };
    expect(() => channelScalesFor(identity(['MPX4115A', 'MPX4115A']), wrong)).toThrow(/board other/);
    const more = { ...wrong, calibration: { id: 'c-2', board: calibratedBoard('b', types) } };
    expect(() => channelScalesFor(identity(['MPX4115A']), { ...more, types: [MPX4115A] })).toThrow(
      '2 channels',
    );
  });

  test('a sensor of which the board says nothing is read by the type that was entered', () => {
    const own = {
      ...MPX4115A,
      name: 'BAR1',
      transfer: { kind: 'ratiometric', perKpa: 0.01, zero: 0 },
    } as const;
    const known = { types: [own], calibration: null, temperatureCelsius: null };
    const scales = channelScalesFor(identity(['unknown']), known);
    expect(scales.trouble).toBeNull();
    expect(scales.absoluteKpa(0, 511.5, 100)).toBeCloseTo(50, 9);
  });

  test('a record of a version that knew no calibrations is read as it was', () => {
    const old = {
      boardId: 'b',
      sensorTypes: ['MPX4115A'],
      fullScaleCounts: 1023,
      calibrations: [null],
    };
    const now = channelScalesFor(identity(['MPX4115A']));
    expect(channelScalesOf(old).absoluteKpa(0, 400, 100)).toBe(now.absoluteKpa(0, 400, 100));
    expect(channelScalesOf(old).instrumentOptions(1)).toEqual(now.instrumentOptions(1));
  });

  test('the simulated sensors are exact', () => {
    expect(channelScalesFor(identity(['MPX4115A'], 'practice')).instrumentOptions(1)).toMatchObject({
      standardUncertaintyKpa: [0],
      differenceUncertaintyKpa: [0],
    });
  });
});

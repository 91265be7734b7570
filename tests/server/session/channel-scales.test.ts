import { describe, expect, test } from 'vitest';
import { channelScalesFor } from '../../../server/session/channel-scales.ts';
import { BOARD } from './session-bench.ts';

const board = (sensorTypes: string[], boardId = 'b') => ({
  ...BOARD,
  boardId,
  sensorTypes,
  fullScaleCounts: 1023,
});

describe('from counts to pressure', () => {
  test('follows the transfer function of the data sheet: Vout = VS (0.009 P - 0.095), Motorola MPX4115A', () => {
    const scales = channelScalesFor(board(['MPX4115A']));
    for (const kpa of [15, 50, 101.325, 115]) {
      expect(scales.absoluteKpa(0, 1023 * (0.009 * kpa - 0.095), 100)).toBeCloseTo(kpa, 9);
    }
    expect(scales.trouble).toBeNull();
  });

  test('a sensor that measures from the air around it counts from the barometric pressure', () => {
    // Motorola Sensor Device Data p. 3-416: Vout = VS (0.007652 P + 0.92), 2.30 V of 5 V at -60 kPa.
    const scales = channelScalesFor(board(['MPXV6115V']));
    expect(scales.absoluteKpa(0, (1023 * 2.304) / 5, 98)).toBeCloseTo(98 - 60, 1);
  });

  test('an unknown sensor shows no pressure and the person is told; the others are measured', () => {
    const scales = channelScalesFor(board(['unknown', 'MPX4115A']));
    expect(scales.absoluteKpa(0, 500, 100)).toBeNaN();
    expect(scales.absoluteKpa(1, 500, 100)).toBeGreaterThan(15);
    expect(scales.trouble).toBe('board-unknown-sensor');
    expect(scales.instrumentOptions(2).sensorRanges?.[0]).toBeNull();
  });

  test('a missing count is no pressure', () => {
    expect(channelScalesFor(board(['MPX4115A'])).absoluteKpa(0, -1, 100)).toBeNaN();
  });

  test("without a calibration the data sheet's band is the uncertainty, of a difference that of two sensors", () => {
    const { standardUncertaintyKpa, differenceUncertaintyKpa } = channelScalesFor(
      board(['MPX4115A', 'MPX4115A']),
    ).instrumentOptions(2);
    // GUM (JCGM 100), 4.3.7: half-width / sqrt(3).
    expect(standardUncertaintyKpa?.[0]).toBeCloseTo(1.5 / Math.sqrt(3), 12);
    expect(differenceUncertaintyKpa?.[0]).toBeCloseTo((1.5 / Math.sqrt(3)) * Math.SQRT2, 12);
  });

  test('a calibration corrects the channel and says how sure it is', () => {
    const calibration = {
      correction: { gain: 1.01, offsetKpa: -0.4 },
      standardUncertaintyKpa: 0.1,
      differenceUncertaintyKpa: 0.02,
    };
    const scales = channelScalesFor(board(['MPX4115A', 'MPX4115A']), [calibration, null]);
    const plain = channelScalesFor(board(['MPX4115A', 'MPX4115A']));
    expect(scales.absoluteKpa(0, 500, 100)).toBeCloseTo(1.01 * plain.absoluteKpa(0, 500, 100) - 0.4, 9);
    expect(scales.absoluteKpa(1, 500, 100)).toBe(plain.absoluteKpa(1, 500, 100));
    expect(scales.instrumentOptions(1)).toMatchObject({
      standardUncertaintyKpa: [0.1],
      differenceUncertaintyKpa: [0.02],
    });
  });

  test('the simulated sensors are exact', () => {
    expect(channelScalesFor(board(['MPX4115A'], 'practice')).instrumentOptions(1)).toMatchObject({
      standardUncertaintyKpa: [0],
      differenceUncertaintyKpa: [0],
    });
  });
});

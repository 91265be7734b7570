import { describe, expect, it } from 'vitest';
import { driftBetween, validityAt } from '../../calibration/calibration-age.ts';
import {
  applies,
  CALIBRATION_KINDS,
  type ChannelCalibration,
  NOT_APPLICABLE,
} from '../../calibration/channel-calibration.ts';

const DAY_MS = 86_400_000;
const MADE_MS = 1_700_000_000_000;

const CALIBRATION: ChannelCalibration = {
  boardId: 'B-1',
  channel: 2,
  sensorType: 'MPX4115A',
  sensorSerial: null,
  gain: 1.01,
  offsetKpa: -0.5,
  covariance: { gain: 1e-6, offset: 0.0025, gainOffset: -4e-5 },
  residualSdKpa: 0.02,
  curvatureSdKpa: 0,
  kinds: ['zero', 'matching'],
  calibratedAtMs: MADE_MS,
  technician: null,
  temperatureCelsius: 20,
  expiresAtMs: MADE_MS + 365 * DAY_MS,
};

describe('a calibration', () => {
  it('is used on the very channel it was made on, and on no other', () => {
    expect(applies(CALIBRATION, 'B-1', 2, 'MPX4115A')).toEqual({ ok: true });
    expect(applies(CALIBRATION, 'B-2', 2, 'MPX4115A')).toEqual({ ok: false, reason: 'other-board' });
    expect(applies(CALIBRATION, 'B-1', 1, 'MPX4115A')).toEqual({ ok: false, reason: 'other-channel' });
    expect(applies(CALIBRATION, 'B-1', 2, 'MPX4250A')).toEqual({ ok: false, reason: 'other-sensor-type' });
    for (const { message, whatToDo } of Object.values(NOT_APPLICABLE)) {
      expect(message).toMatch(/\.$/);
      expect(whatToDo).toMatch(/\.$/);
    }
    expect(CALIBRATION_KINDS).toEqual(['zero', 'matching', 'span']);
  });

  it('reminds two weeks before its end, and says when it is over', () => {
    const validity = (days: number) => validityAt(CALIBRATION, MADE_MS + days * DAY_MS);
    expect(validity(10)).toEqual({ state: 'valid', daysLeft: 355 });
    expect(validity(350)).toEqual({ state: 'valid', daysLeft: 15 });
    expect(validity(351)).toEqual({ state: 'due-soon', daysLeft: 14 });
    expect(validity(364.5)).toEqual({ state: 'due-soon', daysLeft: 0 });
    expect(validity(365)).toEqual({ state: 'expired', daysOver: 0 });
    expect(validity(400.9)).toEqual({ state: 'expired', daysOver: 35 });
    expect(validityAt({ ...CALIBRATION, expiresAtMs: null }, MADE_MS)).toEqual({
      state: 'valid',
      daysLeft: null,
    });
    expect(validityAt({ ...CALIBRATION, kinds: [] }, MADE_MS)).toEqual({ state: 'never-calibrated' });
  });

  it('shows what the sensor drifted since the one before', () => {
    const later = { ...CALIBRATION, offsetKpa: -0.2, calibratedAtMs: MADE_MS + 365.25 * DAY_MS };
    const drift = driftBetween(CALIBRATION, later, 40);
    expect(drift.changeKpa).toBeCloseTo(0.3, 12);
    expect(drift.perYearKpa).toBeCloseTo(0.3, 12);
    // u² = 1e-6 x 1600 - 2 x 4e-5 x 40 + 0.0025 = 0.0009; two of 0.03 make 0.0424, k = 2.
    expect(drift.changeExpandedKpa).toBeCloseTo(2 * 0.03 * Math.SQRT2, 12);
    expect(drift.significant).toBe(true);
    expect(driftBetween(CALIBRATION, { ...later, offsetKpa: -0.47 }, 40).significant).toBe(false);
    // A gain that changed: 1 % of the nominal pressure (40 + 0.5) / 1.01.
    const steeper = driftBetween(CALIBRATION, { ...CALIBRATION, gain: 1.02 }, 40);
    expect(steeper.changeKpa).toBeCloseTo((0.01 * 40.5) / 1.01, 12);
    expect(steeper.perYearKpa).toBeNull();
    expect(() => driftBetween(CALIBRATION, { ...later, channel: 1 }, 40)).toThrow(RangeError);
    expect(() => driftBetween(CALIBRATION, { ...later, boardId: 'B-9' }, 40)).toThrow(RangeError);
  });
});

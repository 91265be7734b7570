/** Why a calibration is refused: a code, one sentence for the mechanic, what to do. */

export const CALIBRATION_REFUSALS = {
  'channel-missing': {
    message: 'A hose has no samples.',
    whatToDo: 'Check the sensor and its cable, then take the record again.',
  },
  'channel-saturated': {
    message: 'A sensor stands at the end of its range.',
    whatToDo: 'Check its supply, its cable and the sensor type that the board gives.',
  },
  'barometric-implausible': {
    message: 'The barometric pressure cannot be right.',
    whatToDo: 'Enter the air pressure of the place itself, not the one reduced to sea level.',
  },
  'zero-too-short': {
    message: 'The record of the still engine is too short.',
    whatToDo: 'Leave everything still for three seconds.',
  },
  'zero-moving': {
    message: 'A pressure moved while it should have stood still.',
    whatToDo: 'Stop the engine, open all hoses to the air, wait until they are level, and zero again.',
  },
  'zero-noisy': {
    message: 'A sensor is too noisy to be zeroed.',
    whatToDo: 'Check its supply and ground, keep its cable away from the ignition, and zero again.',
  },
  'zero-implausible': {
    message: 'A sensor is further from the air pressure than its data sheet allows.',
    whatToDo: 'Check the sensor type, the barometric pressure and that the hose is open to the air.',
  },
  'match-too-few-channels': {
    message: 'Matching needs at least two hoses.',
    whatToDo: 'Put two or more hoses on one source.',
  },
  'match-too-few-steps': {
    message: 'There are too few steady steps of pressure.',
    whatToDo: 'Pull vacuum in at least four steps and hold each for three seconds or longer.',
  },
  'match-span-too-small': {
    message: 'The steps of pressure are too close together.',
    whatToDo:
      'Start at air pressure and pull to about 70 kPa (20 inHg) of vacuum, past what the engine idles at.',
  },
  'match-source-drifts': {
    message: 'The source does not hold its pressure.',
    whatToDo: 'Tighten its connections, cap every open end, and hold each step for three seconds or longer.',
  },
  'match-channel-dead': {
    message: 'A sensor does not move at all.',
    whatToDo: 'Check its cable and supply, or leave the hose out of the matching.',
  },
  'match-channel-apart': {
    message: 'A hose does not follow the others.',
    whatToDo: 'Put it on the common source, look for a kink or a leak in it, and match again.',
  },
  'match-gain-implausible': {
    message: 'A sensor moves by much more or less than the others.',
    whatToDo: 'Check that the sensor type of each channel is right and that all have the same supply.',
  },
  'match-scatter-large': {
    message: 'The hoses disagree from step to step.',
    whatToDo: 'Hold each step longer, keep the hoses equally long and still, and match again.',
  },
  'span-too-few-points': {
    message: 'There are too few readings of the reference gauge.',
    whatToDo: 'Read it at three pressures or more, or at one when the zero has just been set.',
  },
  'span-too-small': {
    message: 'The readings of the reference gauge are too close together.',
    whatToDo: 'Spread them over the pressures at which the engine idles.',
  },
  'span-gain-implausible': {
    message: 'The reference gauge and the sensors disagree by more than a sensor can be wrong.',
    whatToDo: 'Check the unit of the gauge, absolute pressure or vacuum, and the sensor type.',
  },
  'span-scatter-large': {
    message: 'The readings of the reference gauge do not lie on a line.',
    whatToDo: 'Let each pressure settle before reading, look straight at the needle, and read again.',
  },
} as const;

export type CalibrationRefusalCode = keyof typeof CALIBRATION_REFUSALS;

export interface CalibrationRefusal {
  readonly ok: false;
  readonly code: CalibrationRefusalCode;
  /** 0-based channel that is to blame, or null. */
  readonly channel: number | null;
  /** Figures found, for the log and for 'details' on the screen. */
  readonly detail: string;
}

export function refused(
  code: CalibrationRefusalCode,
  detail: string,
  channel: number | null = null,
): CalibrationRefusal {
  return { ok: false, code, channel, detail };
}

import { type CatalogueEntry, entry } from './catalogue-entry.ts';

/** Calibration of the sensors. */
export const CALIBRATION_ERRORS = {
  'calibration-none': entry(
    0,
    'The sensors were never calibrated: a difference is only as sure as their data sheet.',
    'Match them under Calibration: it takes a hand pump and two minutes.',
  ),
  'calibration-due-soon': entry(
    0,
    'The calibration of the sensors is due soon.',
    'Zero and match them again under Calibration.',
  ),
  'calibration-expired': entry(
    0,
    'The calibration of the sensors is older than it should be.',
    'Zero and match them again under Calibration; until then the old one is used.',
  ),
  'calibration-needs-board': entry(
    409,
    'The board is not connected, so its sensors cannot be calibrated.',
    'Connect the board, wait until samples come in, and try again.',
  ),
  'calibration-needs-sensor-types': entry(
    409,
    'The type of a sensor is not known.',
    'Choose the type of every channel under Calibration first.',
  ),
  'calibration-practice-exact': entry(
    409,
    'The sensors of the practice engine are exact: there is nothing to calibrate.',
    'Set the practice sensors to as bought to rehearse a calibration.',
  ),
  'calibration-running': entry(
    409,
    'A step of the calibration is under way.',
    'Let it end, or discard it, before starting another.',
  ),
  'calibration-nothing-there': entry(
    409,
    'There is nothing to finish or to save.',
    'Start a zero, a matching or a span first.',
  ),
  'calibration-zero-first': entry(
    409,
    'A gauge of vacuum counts from the air pressure of the moment, which is not known.',
    'Zero the sensors first, save it, then compare them with the gauge within two hours.',
  ),
  'calibration-capture-running': entry(
    409,
    'The calibration cannot change while a capture runs.',
    'Stop the capture, then try again.',
  ),
  'calibration-other-board': entry(
    409,
    'The calibration belongs to another board.',
    'Connect that board, or calibrate this one.',
  ),
  'calibration-other-channels': entry(
    409,
    'The calibration belongs to a board with other channels.',
    'Calibrate the channels of this board.',
  ),
  'calibration-other-sensors': entry(
    409,
    'The calibration was made with another sensor.',
    'Calibrate again after a sensor was changed.',
  ),
  'calibration-not-saved': entry(
    500,
    'The calibration could not be written to disk.',
    'Check that the disk is not full and the data folder can be written, then save again.',
  ),
  'sensor-type-unusable': entry(
    400,
    'The sensor cannot be used as it was entered.',
    'Take both ends of its range and its largest error from the data sheet.',
  ),
} as const satisfies Record<string, CatalogueEntry>;

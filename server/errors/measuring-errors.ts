import { type CatalogueEntry, entry } from './catalogue-entry.ts';

/** Captures, checks, the set-up and the practice engine. */
export const MEASURING_ERRORS = {
  'capture-running': entry(
    409,
    'A capture is already running.',
    'Stop the running capture before starting another.',
  ),
  'capture-not-running': entry(409, 'This capture is not running.', 'Start a new capture.'),
  'capture-not-found': entry(404, 'There is no such capture.', 'Pick one from the list of captures.'),
  'capture-needs-board': entry(
    409,
    'No samples are coming in, so there is nothing to capture.',
    'Connect the board or start the practice engine, then capture.',
  ),
  'capture-not-saved': entry(
    500,
    'The capture could not be written to disk.',
    'Check that the disk is not full and the data folder can be written, then capture again.',
  ),
  'check-running': entry(409, 'A check is already running.', 'Finish or cancel it before starting another.'),
  'check-not-running': entry(409, 'No check is running.', 'Start one from the list of checks.'),
  'check-needs-board': entry(
    409,
    'No samples are coming in, so nothing can be checked.',
    'Connect the board or start the practice engine, then start the check.',
  ),
  'setup-locked': entry(
    409,
    'The engine cannot be changed while a capture runs.',
    'Stop the capture, then change the set-up.',
  ),
  'practice-not-active': entry(
    409,
    'The practice engine is not the source just now.',
    'Start the program with --source practice.',
  ),
  'practice-bad-setting': entry(
    400,
    'The practice engine cannot be set like that.',
    'Pick one of the layouts offered and give one value per screw or cylinder.',
  ),
} as const satisfies Record<string, CatalogueEntry>;

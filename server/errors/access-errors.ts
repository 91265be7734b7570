import { type CatalogueEntry, entry } from './catalogue-entry.ts';

/** Letting other devices in. */
export const ACCESS_ERRORS = {
  'device-not-let-in': entry(
    401,
    'This device is not let in.',
    'Ask for a code on the instrument’s own screen, under Devices, and type it here.',
  ),
  'view-only-device': entry(
    403,
    'This device may only look.',
    'Do it on the instrument, or remove this device there and let it in again to operate.',
  ),
  'only-on-instrument': entry(
    403,
    'This is done on the instrument’s own screen alone.',
    'Open the program’s page on the computer that the board is plugged into.',
  ),
  'code-not-accepted': entry(
    403,
    'The code is wrong, was used already, or has run out.',
    'Type the code that the instrument shows now, or ask for a new one there.',
  ),
  'too-many-tries': entry(
    429,
    'Too many wrong codes came from this device.',
    'Wait a quarter of an hour, then type a new code.',
  ),
  'too-many-devices': entry(
    409,
    'No more devices can be let in.',
    'Remove one that is no longer needed on the instrument, then ask for a new code.',
  ),
  'device-not-found': entry(
    404,
    'There is no such device.',
    'Look at the list again; it was removed already.',
  ),
  'lan-not-open': entry(
    409,
    'The program is not open to other devices.',
    'Start it with --lan to let other devices in.',
  ),
} as const satisfies Record<string, CatalogueEntry>;

import { type CatalogueEntry, entry } from './catalogue-entry.ts';

/** The way to the board, and the board behind it. */
export const BOARD_ERRORS = {
  'source-unplugged': entry(
    0,
    'The connection to the board is gone.',
    'Put the cable back in; measuring goes on by itself.',
  ),
  'source-not-found': entry(
    0,
    'The port or file of the source is not there.',
    'Plug the board in, or check the name given with --source.',
  ),
  'source-in-use': entry(
    0,
    'Another program has the port open.',
    'Close the other program, such as a serial terminal; the port is tried again by itself.',
  ),
  'source-no-permission': entry(
    0,
    'This user may not open the port.',
    'On Linux add the user to the group that owns the port (often dialout), log in again; the port is tried again by itself.',
  ),
  'source-refused': entry(
    0,
    'The network address of the board refuses the connection.',
    'Check that the bridge is switched on and that its address and port are right; it is tried again by itself.',
  ),
  'source-ended': entry(0, 'The recording is over.', 'Start the program again to replay it once more.'),
  'source-failed': entry(
    0,
    'The source of the samples failed.',
    'Unplug the board and plug it in again; if that does not help, look into the log. It is tried again by itself.',
  ),
  'board-not-found': entry(
    0,
    'No board was found on any port.',
    'Plug a board in; until then the practice engine runs.',
  ),
  'board-silent': entry(
    0,
    'The port is open but the board says nothing.',
    'Check that this is the board and that it has power and its firmware; other line speeds are being tried.',
  ),
  'board-unreadable': entry(
    0,
    'What comes from the port cannot be read as a board of this kind.',
    'Check that this is the board and not another device; other line speeds are being tried.',
  ),
  'board-no-identity': entry(
    0,
    'The board sends samples but does not say what it is.',
    'Press its reset button, or load the current firmware into it.',
  ),
  'board-newer-protocol': entry(
    0,
    'The board speaks a newer version of the line protocol than this program.',
    'Update this program, or load the firmware that came with it into the board.',
  ),
  'board-zero-channels': entry(
    0,
    'The board says that it has no channels.',
    'Load firmware that is set up for its sensors into the board.',
  ),
  'board-too-many-channels': entry(
    0,
    'The board says that it has more than 8 channels.',
    'Load firmware that is set up for 1 to 8 channels into the board.',
  ),
  'board-stalled': entry(
    0,
    'The board has stopped sending samples.',
    'Check its power and cable; it is being asked to go on.',
  ),
  'board-lines-lost': entry(
    0,
    'Hardly anything that the board sends arrives whole, so nothing is measured.',
    'Check the cable and its plugs, and keep it away from the ignition; measuring goes on by itself.',
  ),
  'board-fewer-channels': entry(
    0,
    'The board has fewer channels than the engine has cylinders.',
    'Only the cylinders with a channel are measured; set the number of cylinders, or use a board with more channels.',
  ),
  'board-unknown-sensor': entry(
    0,
    'The board does not say which pressure sensor is on every channel.',
    'Calibrate the channels, or set the sensor types in its firmware; until then these channels show no pressure.',
  ),
  'board-has-no-barometer': entry(
    409,
    'The board has no barometer of its own.',
    'Enter the barometric pressure, or read it from the ports with the engine stopped.',
  ),
  'key-off-needs-stopped-engine': entry(
    409,
    'The barometric pressure can be read from the ports only while the engine stands still.',
    'Stop the engine, wait two seconds with the board connected, and try again.',
  ),
} as const satisfies Record<string, CatalogueEntry>;

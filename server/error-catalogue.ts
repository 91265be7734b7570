/**
 * Every error that a person can meet: a code, one sentence for the mechanic, what to do about it, and the
 * HTTP status where it can be an answer. The table in DEVELOPERS.md is held equal to this by a test.
 */

export interface CatalogueEntry {
  readonly message: string;
  readonly whatToDo: string;
  /** Status of an HTTP answer that carries the code; 0 where none does. */
  readonly httpStatus: number;
}

const entry = (httpStatus: number, message: string, whatToDo: string): CatalogueEntry => ({
  message,
  whatToDo,
  httpStatus,
});

export const ERROR_CATALOGUE = {
  // The way to the board.
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
    'Unplug the board, plug it in again and look into the log if it stays; it is tried again by itself.',
  ),
  // The board behind it.
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
    'Update this program, or load the firmware that belongs to it into the board.',
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
  // Answers over HTTP and WebSocket.
  'bad-request': entry(
    400,
    'The request does not have the form that is expected.',
    'Check the entries; the detail says which one.',
  ),
  'not-found': entry(404, 'There is nothing at this address.', 'Go back to the start page.'),
  'method-not-allowed': entry(405, 'This address does not take this kind of request.', 'Reload the page.'),
  'body-too-large': entry(413, 'What was sent is too large.', 'Send less at once.'),
  'unsupported-media-type': entry(415, 'The body is of a kind that is not taken.', 'Send JSON.'),
  'host-not-allowed': entry(
    403,
    'This computer is reached under a name that is not let in.',
    'Open the address that the program printed when it started.',
  ),
  'origin-not-allowed': entry(
    403,
    'Another web page tried to use this program.',
    'Use the page that this program serves itself.',
  ),
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
    'The code is not right, or it is used or has run out.',
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
  'internal-error': entry(
    500,
    'Something went wrong inside the program.',
    'Try again; if it stays, look into the log and report it.',
  ),
  'too-many-viewers': entry(
    503,
    'Too many screens are connected.',
    'Close the page on a screen that is not needed.',
  ),
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
  'check-running': entry(
    409,
    'A check is already running.',
    'Finish it or give it up before starting another.',
  ),
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
  // Calibration of the sensors.
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
  // The job record.
  'record-not-found': entry(
    404,
    'There is no such entry in the job record.',
    'Go back to the list and pick it again; it may have been deleted on another screen.',
  ),
  'record-changed': entry(
    409,
    'This entry was changed on another screen in the meantime.',
    'Compare the two versions, then save again what is to stay.',
  ),
  'record-in-use': entry(
    409,
    'This entry cannot be deleted while others hang on it.',
    'Delete or move what hangs on it first.',
  ),
  'records-unreachable': entry(
    503,
    'The shared job record cannot be reached just now.',
    'Go on measuring and capturing: captures are delivered by themselves. Check the network and the server, then try again.',
  ),
  'records-unsure': entry(
    503,
    'The connection to the shared job record broke while an entry was being saved.',
    'When it is reached again look whether the entry is there before saving it once more.',
  ),
  'records-refused': entry(
    503,
    'The server of the shared job record does not let this bench in, or takes no more data.',
    'Check user, password, database and free space of the server that --records names.',
  ),
  'records-newer-version': entry(
    503,
    'The shared job record was brought up to date by a newer version of this program.',
    'Update this program on this bench; captures wait here until then.',
  ),
  'practice-kept-apart': entry(
    409,
    'A practice capture cannot hang on the job of a real machine.',
    'Take a capture with the board, or hang this one on a practice job.',
  ),
  'comparison-needs-captures': entry(
    409,
    'There is no finished before and after capture to compare.',
    'Take one capture before the work and one after it.',
  ),
  'photo-unreadable': entry(
    415,
    'The file is not a photo that can be kept.',
    'Send a JPEG, PNG or WebP picture.',
  ),
  'photo-too-large': entry(413, 'The photo is too large.', 'Send it with fewer pixels.'),
  'import-unreadable': entry(
    400,
    'The file cannot be imported; nothing was changed.',
    'Give a file that was exported by this program, unchanged.',
  ),
  'import-newer-format': entry(
    400,
    'The file was exported by a newer version of this program; nothing was changed.',
    'Update this program, then import it again.',
  ),
  'backup-failed': entry(
    500,
    'The backup could not be made.',
    'Check that the backup folder is there and has room; the data themselves are not touched.',
  ),
  'backup-not-set-up': entry(409, 'No backup folder is set.', 'Set a backup folder in the shop settings.'),
  'backup-damaged': entry(
    0,
    'The backup is damaged or not complete; nothing was changed.',
    'Take an older backup.',
  ),
  'disk-full': entry(
    507,
    'The disk takes no more data.',
    'Free some space and try again. What was saved before is safe.',
  ),
  'data-damaged': entry(
    500,
    'The data file is damaged.',
    'Keep a copy of the data folder as it is, then restore the newest backup. Nothing was changed.',
  ),
  // Starting the program. These end it with exit code 2.
  'data-newer-version': entry(
    0,
    'The data were written by a newer version of this program.',
    'Update this program, or give another folder with --data. Nothing was changed.',
  ),
  'data-not-ours': entry(
    0,
    'The data file in the folder belongs to another program.',
    'Give another folder with --data. Nothing was changed.',
  ),
  'access-folder-unwritable': entry(
    0,
    'The list of devices that are let in cannot be kept.',
    'Check that the folder can be written, or start without --lan.',
  ),
  'tls-files-unusable': entry(
    0,
    'The certificate cannot be used.',
    'Give a certificate and its own key as PEM files with --tls-cert and --tls-key.',
  ),
  'bad-option': entry(0, 'The command line has an option that cannot be used.', 'See --help.'),
  'node-version': entry(
    0,
    'This version of Node.js cannot run the program.',
    'Install Node.js 20.19 or newer, but older than 26.',
  ),
  'data-folder-unwritable': entry(
    0,
    'The data folder cannot be written.',
    'Give a folder of your own with --data.',
  ),
  'data-folder-in-use': entry(
    0,
    'The data cannot be opened.',
    'Stop the other copy of the program, or give another folder with --data.',
  ),
  'port-in-use': entry(
    0,
    'The network port is taken.',
    'Stop the other program or copy, or give another port with --port.',
  ),
  'port-not-allowed': entry(
    0,
    'The network port may not be used by this user.',
    'Give a port above 1023 with --port.',
  ),
} as const satisfies Record<string, CatalogueEntry>;

export type ErrorCode = keyof typeof ERROR_CATALOGUE;

/** What went wrong and what to do, in one line for the screen. */
export function sentenceFor(code: ErrorCode): string {
  const { message, whatToDo } = ERROR_CATALOGUE[code];
  return `${message} ${whatToDo}`;
}

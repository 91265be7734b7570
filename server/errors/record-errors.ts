import { type CatalogueEntry, entry } from './catalogue-entry.ts';

/** The job record, its photos, imports and backups. */
export const RECORD_ERRORS = {
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
    'This entry cannot be deleted while others belong to it.',
    'Delete those first, or move them elsewhere.',
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
    'A practice capture cannot be kept with the job of a real machine.',
    'Take a capture with the board, or put this one on a practice job.',
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
  'file-unusable': entry(
    0,
    'The file cannot be read or written.',
    'Check its name, its folder, and that it may be read or written by this user.',
  ),
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
} as const satisfies Record<string, CatalogueEntry>;

import { type CatalogueEntry, entry } from './catalogue-entry.ts';

/** Starting the program: these end it with exit code 2. */
export const START_ERRORS = {
  'data-not-there': entry(
    0,
    'There are no data in this folder.',
    'Give the folder of the program’s data with --data. Nothing was changed.',
  ),
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
    'The data folder is in use.',
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

import { type CatalogueEntry, entry } from './catalogue-entry.ts';

/** Any answer over HTTP and WebSocket. */
export const REQUEST_ERRORS = {
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
} as const satisfies Record<string, CatalogueEntry>;

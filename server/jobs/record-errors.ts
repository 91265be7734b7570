/** What can go wrong with the records: code, sentence, what to do, and the HTTP status where it is an answer. */
export const RECORD_ERRORS = {
  'data-newer-version': {
    httpStatus: 0,
    message: 'The data were written by a newer version of this program.',
    whatToDo: 'Update this program, or give another folder with --data. Nothing was changed.',
  },
  'data-damaged': {
    httpStatus: 500,
    message: 'The data file is damaged.',
    whatToDo: 'Keep a copy of the data folder as it is, then restore the newest backup. Nothing was changed.',
  },
  'data-not-ours': {
    httpStatus: 0,
    message: 'The file in the data folder belongs to another program.',
    whatToDo: 'Give another folder with --data. Nothing was changed.',
  },
  'disk-full': {
    httpStatus: 507,
    message: 'The disk takes no more data.',
    whatToDo: 'Free some space and try again. What was saved before is safe.',
  },
} as const;

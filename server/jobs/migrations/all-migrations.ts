import { captures } from './0001-captures.ts';
import { records } from './0002-records.ts';
import { search } from './0003-search.ts';
import { calibrations } from './0004-calibrations.ts';
import { checkResults } from './0005-check-results.ts';
import { sharedRecord } from './0006-shared-record.ts';
import { checksAndCalibrationsTravel } from './0007-checks-and-calibrations-travel.ts';
import type { Migration } from './migration.ts';

/** In order. */
export const ALL_MIGRATIONS: readonly Migration[] = [
  captures,
  records,
  search,
  calibrations,
  checkResults,
  sharedRecord,
  checksAndCalibrationsTravel,
];

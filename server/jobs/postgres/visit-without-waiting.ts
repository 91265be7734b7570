import type { Clock } from '../../clock.ts';
import type { JobRecords } from '../job-records.ts';
import { RecordsTrouble } from './records-trouble.ts';

/** A mechanic who starts a capture waits for the network for this long at most [ms]. */
export const MAX_WAIT_MS = 1000;

/**
 * The visit that something measured is to hang on, or null where there is none. Where the record is not reached in time the
 * bench is believed, with what is assumed: what does not fit is left loose when it is delivered.
 */
export async function visitWithoutWaiting(
  records: JobRecords,
  clock: Clock,
  id: string,
  assumed: { readonly practice: boolean },
): Promise<{ readonly practice: boolean } | null> {
  let callOff = () => {};
  const late = new Promise<typeof assumed>((resolve) => {
    callOff = clock.after(MAX_WAIT_MS, () => resolve(assumed));
  });
  const asked = records.visits.get(id).catch((error: unknown) => {
    if (error instanceof RecordsTrouble) return assumed;
    throw error;
  });
  try {
    return await Promise.race([asked, late]);
  } finally {
    callOff();
  }
}

import type { BackupSchedule } from '../../jobs/backup/backup-schedule.ts';
import type { Store } from '../../jobs/open-store.ts';
import type { SharedStore } from '../../jobs/postgres/share-records.ts';

/** What the routes of the job record serve. */
export interface JobRouteParts {
  readonly store: Store;
  readonly backups: BackupSchedule;
  /** Where the record is shared with other benches. */
  readonly sharing?: SharedStore | null;
  readonly softwareVersion: string;
  /** [ms since 1970] */
  readonly wallMs: () => number;
}

import type { BackupSchedule } from '../../jobs/backup/backup-schedule.ts';
import type { Store } from '../../jobs/open-store.ts';

/** What the routes of the job record serve. */
export interface JobRouteParts {
  readonly store: Store;
  readonly backups: BackupSchedule;
  readonly softwareVersion: string;
  /** [ms since 1970] */
  readonly wallMs: () => number;
}

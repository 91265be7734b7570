import type { Clock } from '../../clock.ts';
import { DATABASE_FILE, type Store } from '../open-store.ts';
import { BackupSchedule } from './backup-schedule.ts';
import { makeBackup } from './make-backup.ts';

export interface StoreBackupParts {
  readonly clock: Clock;
  readonly softwareVersion: string;
  readonly log: (text: string) => void;
}

/** The backups of a store as the shop's settings wish them. Start it after the store, stop it before. */
export function storeBackups(
  store: Store,
  { clock, softwareVersion, log }: StoreBackupParts,
): BackupSchedule {
  return new BackupSchedule({
    clock,
    log,
    wishes: async () => (await store.records.shop.get()).backup,
    make: (folder, atMs) =>
      makeBackup({ dataDir: store.dataDir, databaseFile: DATABASE_FILE, folder, atMs, softwareVersion }),
  });
}

import type { Migration } from './migrations/migration.ts';
import type { SqliteDatabase } from './sqlite-database.ts';

/** Marks a file as ours, "IDLW" in ASCII, so that another program's file is never touched. */
export const APPLICATION_ID = 0x49444c57;

export type FileVersion =
  | { readonly kind: 'empty' }
  | { readonly kind: 'ours'; readonly version: number }
  | { readonly kind: 'foreign' };

/** Reads and changes nothing. */
export function fileVersion(database: SqliteDatabase): FileVersion {
  const applicationId = pragmaNumber(database, 'application_id');
  const version = pragmaNumber(database, 'user_version');
  if (applicationId === APPLICATION_ID) return { kind: 'ours', version };
  const objects = database.prepare('SELECT count(*) AS n FROM sqlite_schema').get();
  return objects?.n === 0 && applicationId === 0 && version === 0 ? { kind: 'empty' } : { kind: 'foreign' };
}

/**
 * Brings the file to the newest version, each step whole or not at all.
 * @throws RangeError where the file is newer than the newest step: check `fileVersion` before
 */
export function migrate(database: SqliteDatabase, migrations: readonly Migration[]): void {
  const from = pragmaNumber(database, 'user_version');
  if (from > migrations.length) throw new RangeError(`version ${from} is newer than ${migrations.length}`);
  for (const [index, migration] of migrations.entries()) {
    if (migration.version !== index + 1) throw new RangeError(`migration ${index + 1} is out of order`);
    if (migration.version <= from) continue;
    database.transaction(() => {
      for (const statement of migration.statements) database.exec(statement);
      database.exec(`PRAGMA application_id = ${APPLICATION_ID}`);
      database.exec(`PRAGMA user_version = ${migration.version}`);
    });
  }
}

function pragmaNumber(database: SqliteDatabase, name: string): number {
  const value = Object.values(database.prepare(`PRAGMA ${name}`).get() ?? {})[0];
  return typeof value === 'number' ? value : 0;
}

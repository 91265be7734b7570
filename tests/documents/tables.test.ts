import { join } from 'node:path';
import { expect, test } from 'vitest';
import { migrate } from '../../server/jobs/migrate.ts';
import { ALL_MIGRATIONS } from '../../server/jobs/migrations/all-migrations.ts';
import { openSqliteDatabase } from '../../server/jobs/sqlite-database.ts';
import { temporaryFolder } from '../server/jobs/temporary-folder.ts';
import { textOf } from './documents.ts';

/** Tables that SQLite makes for itself. */
const OF_SQLITE = /^(sqlite_|search_index)/;

test('DEVELOPERS.md names every table of a data file with every column in its order, and none besides', () => {
  const database = openSqliteDatabase(join(temporaryFolder(), 'data.sqlite'));
  migrate(database, ALL_MIGRATIONS);
  const found = new Map(
    database
      .prepare("SELECT name FROM sqlite_master WHERE type = 'table'")
      .all()
      .map(({ name }) => String(name))
      .filter((name) => !OF_SQLITE.test(name))
      .map((table) => [
        table,
        database
          .prepare('SELECT name FROM pragma_table_info(?) ORDER BY cid')
          .all(table)
          .map(({ name }) => String(name)),
      ]),
  );
  database.close();
  const section = /^### Tables\n([\s\S]*?)^### /m.exec(textOf('DEVELOPERS.md'))?.[1] ?? '';
  const told = new Map(
    [...section.matchAll(/^\| `(\w+)` *\|([^|]*)\|/gm)].map(([, table, columns]) => [
      table!,
      [...columns!.matchAll(/`(\w+)`/g)].map(([, column]) => column!),
    ]),
  );
  expect(Object.fromEntries(told)).toEqual(Object.fromEntries(found));
});

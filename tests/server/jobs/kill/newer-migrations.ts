import { ALL_MIGRATIONS } from '../../../../server/jobs/migrations/all-migrations.ts';
import type { Migration } from '../../../../server/jobs/migrations/migration.ts';

const STEPS = 6;
const ROWS = 40_000;

/** Steps of a program to come that take long enough to be killed in: each writes a large table and drops the one before. */
export const newerMigrations: readonly Migration[] = [
  ...ALL_MIGRATIONS,
  ...Array.from({ length: STEPS }, (_, step): Migration => {
    const version = ALL_MIGRATIONS.length + step + 1;
    return {
      version,
      title: `slow step ${step}`,
      statements: [
        `CREATE TABLE slow_${step} (n INTEGER PRIMARY KEY, t TEXT NOT NULL) STRICT`,
        `INSERT INTO slow_${step} WITH RECURSIVE c (n) AS (SELECT 1 UNION ALL SELECT n + 1 FROM c WHERE n < ${ROWS})
         SELECT n, 'row ' || n FROM c`,
        ...(step === 0 ? [] : [`DROP TABLE slow_${step - 1}`]),
      ],
    };
  }),
];

export const lastSlowTable = `slow_${STEPS - 1}`;
export const slowRows = ROWS;

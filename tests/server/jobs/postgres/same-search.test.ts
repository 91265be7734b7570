import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { idsWith, indexStep, isSearchable, snippetsOf } from '../../../../server/jobs/search-index.ts';
import { open } from '../capture-fixture.ts';
import { temporaryFolder } from '../temporary-folder.ts';
import { PostgresServer, postgresFolder } from './postgres-server.ts';
import { openBench } from './record-databases.ts';
import { seeded } from './seeded.ts';

const SEED = 460_301;
const PIECES = [
  'boot',
  'Boots',
  'BOOTLEG',
  'Ásbjörn',
  'asbjorn',
  'Zoë',
  'Łukasz',
  'lukasz',
  '16211-AB4',
  'AB4',
  '16211',
  'IW650-001234',
  'slide',
  'sliding',
  '0.13',
  '18,50',
  "rider's",
  'a_b',
  'x:y',
  '"quoted"',
  '(left)',
  'tsquery & | !',
  '🏍️',
  'Größe',
  'grosse',
  '燃料',
  'карбюратор',
  'Карбюраторы',
  "'",
  '\\',
  'one\ntwo',
  '*',
  'NEAR',
  'OR',
  '%_',
];

describe.runIf(postgresFolder() !== null)('a search on PostgreSQL', () => {
  let server: PostgresServer;
  beforeAll(async () => {
    server = await PostgresServer.start();
  });
  afterAll(() => server.stop());

  // Reference: SQLite's own FTS5 with unicode61.
  test(`finds what the same search on SQLite finds (seed ${SEED})`, async () => {
    const random = seeded(SEED);
    const pick = () => PIECES[Math.floor(random() * PIECES.length)]!;
    const some = (most: number) => Array.from({ length: 1 + Math.floor(random() * most) }, pick).join(' ');
    const own = await open(temporaryFolder());
    const bench = await openBench(temporaryFolder(), server.address(await server.newDatabase()));
    const both = [own.records.parts, bench.shared.store.records.parts] as const;
    const texts = Array.from({ length: 80 }, () => some(6));
    for (const { db, queue, write } of both)
      await queue.run(() => write(texts.map((words, index) => indexStep(db, 'visit', `v${index}`, words))));
    let found = 0;
    for (let round = 0; round < 150; round++) {
      const whole = some(3);
      const question = whole.slice(0, Math.max(1, whole.length - Math.floor(random() * 3)));
      if (!isSearchable(question)) continue;
      const [lite, postgres] = await Promise.all(
        both.map(async ({ db }) => {
          const rows = await db
            .selectFrom('search_texts')
            .select('record_id')
            .where('record_id', 'in', idsWith(db, 'visit', question))
            .orderBy('record_id')
            .execute();
          return rows.map((row) => row.record_id);
        }),
      );
      expect(postgres, JSON.stringify(question)).toEqual(lite);
      found += lite!.length;
      const { db } = both[1];
      for (const [id, snippet] of await snippetsOf(db, question, postgres!))
        expect(texts[Number(id.slice(1))]).toContain(snippet.replaceAll('…', ''));
    }
    expect(found).toBeGreaterThan(200);
    own.close();
    await bench.close();
  });
});

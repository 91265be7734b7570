import { describe, expect, it } from 'vitest';
import { ALL_MIGRATIONS } from '../../../server/jobs/migrations/all-migrations.ts';
import { openStore, type Store } from '../../../server/jobs/open-store.ts';
import { holdResult } from './found-fixture.ts';
import { oldData } from './old-data.ts';
import { temporaryFolder } from './temporary-folder.ts';

async function open(folder: string): Promise<Store> {
  const opened = await openStore(folder);
  if (!opened.ok) throw new Error(opened.code);
  return opened.store;
}

describe('results of checks', () => {
  it('are there again after a restart, newest first, by visit and by kind', async () => {
    const folder = temporaryFolder();
    let store = await open(folder);
    const first = store.checkResults.append(holdResult);
    const second = store.checkResults.append({
      ...holdResult,
      kind: 'blip',
      visitId: 'v',
      blipShares: [0.1, null],
    });
    store.close();
    store = await open(folder);
    expect(store.checkResults.list()).toEqual([second, first]);
    expect(store.checkResults.list({ visitId: 'v' })).toEqual([second]);
    expect(store.checkResults.list({ kind: 'hold' })).toEqual([first]);
    expect(store.checkResults.get(first.id)).toEqual(first);
    expect(store.checkResults.get('none')).toBeNull();
    store.close();
  });

  it('can be kept in a file of any older version', async () => {
    for (const { version } of ALL_MIGRATIONS) {
      const folder = temporaryFolder();
      oldData(folder, version, { timeTicks: [1], counts: [[3], [5]] });
      const store = await open(folder);
      expect(store.checkResults.list()).toEqual([]);
      store.checkResults.append(holdResult);
      expect(store.checkResults.list()).toHaveLength(1);
      store.close();
    }
  });

  it('leave out what another version wrote in a way that is not known, and do not touch it', async () => {
    const store = await open(temporaryFolder());
    const { id } = store.checkResults.append(holdResult);
    store.database.exec(`INSERT INTO check_results (id, kind, verdict, practice, made_at_ms, result_json)
      VALUES ('x', 'smell', 'found', 0, 1, '{"kind":"smell"}')`);
    expect(store.checkResults.list().map((one) => one.id)).toEqual([id]);
    expect(store.checkResults.get('x')).toBeNull();
    expect(store.database.prepare('SELECT count(*) AS n FROM check_results').get()).toEqual({ n: 2 });
    store.close();
  });
});

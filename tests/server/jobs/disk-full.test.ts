import { chmodSync, mkdirSync, readdirSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { figures, header, open } from './capture-fixture.ts';
import { childEnd, nodeArguments, spawnUnprivileged } from './child-process.ts';
import { jobApp } from './job-app.ts';
import { ownerFields } from './job-fixture.ts';
import { cutIntoChunks, manifoldSignal } from './manifold-signal.ts';
import { temporaryFolder } from './temporary-folder.ts';

/** A limit on the size of any file stands in for the full disk: it needs no mount and no rights. */
const limited = (blocks: number) => `trap '' XFSZ; ulimit -f ${blocks}; exec "$0" "$@"`;

function runLimited(blocks: number, file: string, ...values: string[]) {
  const node = [process.execPath, ...nodeArguments(file, ...values)];
  return childEnd(spawnUnprivileged('bash', ['-c', limited(blocks), ...node]));
}

function folderForAll(): string {
  const folder = temporaryFolder();
  chmodSync(folder, 0o777);
  return folder;
}

describe('a disk that takes no more', () => {
  test('keeps the program from starting with that reason', async () => {
    const folder = join(folderForAll(), 'data');
    expect(JSON.parse((await runLimited(0, './open-and-say.ts', folder)).output)).toMatchObject({
      ok: false,
      code: 'disk-full',
    });
  });

  test('fails a capture with that reason, and all that was saved before is there', async () => {
    const folder = join(folderForAll(), 'data');
    const said = JSON.parse((await runLimited(800, './fill-the-disk.ts', folder)).output);
    expect(said).toMatchObject({ ok: true, trouble: 'disk-full' });
    expect(said.appended).toBeGreaterThan(10);
    const store = await open(folder);
    expect([...store.captures.chunks(said.id)].length).toBe(said.appended);
    expect(store.database.prepare('PRAGMA integrity_check').get()).toEqual({ integrity_check: 'ok' });
    store.close();
  });

  test('answers 507 to entries, photos, imports and backups, and all that was answered before is there', async () => {
    const folder = folderForAll();
    mkdirSync(join(folder, 'data'));
    chmodSync(join(folder, 'data'), 0o777);
    // Larger than any file may become, so that a backup cannot copy it.
    writeFileSync(join(folder, 'data', 'calibration.json'), ' '.repeat(2_000_000));
    const said = JSON.parse((await runLimited(1200, './fill-the-record.ts', folder)).output);
    expect(said.photo).toEqual([507, 'disk-full']);
    expect(said.import).toEqual([507, 'disk-full']);
    expect(said.entry).toEqual([507, 'disk-full']);
    expect(said.backup).toEqual([500, 'backup-failed']);
    expect(readdirSync(join(folder, 'backups'))).toEqual([]);
    expect(said.entries.length).toBeGreaterThan(5);
    const store = await open(join(folder, 'data'));
    const kept = new Set((await store.records.entries.ofVisit(said.visitId)).map((entry) => entry.id));
    expect(said.entries.filter((id: string) => !kept.has(id))).toEqual([]);
    expect(store.database.prepare('PRAGMA integrity_check').get()).toEqual({ integrity_check: 'ok' });
    expect(readdirSync(join(folder, 'data')).filter((name) => name.endsWith('.partial'))).toEqual([]);
    store.close();
  });

  test('goes on by itself when there is room again', async () => {
    const store = await open(temporaryFolder());
    const app = await jobApp(store);
    const pages = Number(store.database.prepare('PRAGMA page_count').get()?.page_count);
    store.database.exec(`PRAGMA max_page_count = ${pages + 12}`);
    const create = async () => {
      const payload = { ...ownerFields, notes: 'x'.repeat(9000) };
      const answer = await app.inject({ method: 'POST', url: '/api/owners', payload });
      return [answer.statusCode, answer.json().code];
    };
    const answers = [];
    for (let count = 0; count < 20; count++) answers.push((await create())[0]);
    expect(answers[0]).toBe(201);
    expect(answers.at(-1)).toBe(507);
    expect(await create()).toEqual([507, 'disk-full']);
    expect(() => store.captures.begin({ ...header, sourceAddress: 'x'.repeat(20_000) })).toThrow();
    store.database.exec('PRAGMA max_page_count = 1000000');
    expect((await create())[0]).toBe(201);
    const owners = store.database.prepare('SELECT count(*) AS n FROM owners').get();
    expect(owners).toEqual({ n: answers.filter((status) => status === 201).length + 1 });
    const chunk = cutIntoChunks(signal, 250)[0]!;
    const id = store.captures.begin(header);
    store.captures.append(id, chunk);
    expect(store.captures.complete(id, figures).state).toBe('complete');
    await app.close();
    store.close();
  });
});

const signal = manifoldSignal({
  seed: 3,
  seconds: 1,
  channels: 2,
  sampleRateHz: 500,
  noiseKpa: 0.3,
  clockRateHz: 1e6,
  timeJitterTicks: 4,
});

import { spawn } from 'node:child_process';
import {
  appendFileSync,
  chmodSync,
  cpSync,
  existsSync,
  mkdirSync,
  readdirSync,
  readFileSync,
  rmSync,
  statSync,
  writeFileSync,
} from 'node:fs';
import { join } from 'node:path';
import { Command } from 'commander';
import { describe, expect, test } from 'vitest';
import { backupName, backupsIn } from '../../../server/jobs/backup/backup-names.ts';
import { BackupSchedule } from '../../../server/jobs/backup/backup-schedule.ts';
import { type MadeBackup, makeBackup } from '../../../server/jobs/backup/make-backup.ts';
import { restoreBackup } from '../../../server/jobs/backup/restore-backup.ts';
import { verifyBackup, verifyData } from '../../../server/jobs/backup/verify-backup.ts';
import { DATABASE_FILE, type Store } from '../../../server/jobs/open-store.ts';
import { PHOTO_FOLDER, photoPath } from '../../../server/jobs/photo-store.ts';
import { registerRecordsCommands } from '../../../server/jobs/records-commands.ts';
import { ManualClock } from '../manual-clock.ts';
import { header, open } from './capture-fixture.ts';
import { childEnd, nodeArguments } from './child-process.ts';
import { made } from './job-fixture.ts';
import { cutIntoChunks, manifoldSignal } from './manifold-signal.ts';
import { tinyPng } from './photo-fixture.ts';
import { finishedJob } from './report-fixture.ts';
import { temporaryFolder } from './temporary-folder.ts';

const AT_MS = Date.UTC(2024, 4, 31, 10, 15, 0);

const backupOf = (store: Store, folder: string, atMs = AT_MS) =>
  makeBackup({ dataDir: store.dataDir, databaseFile: DATABASE_FILE, folder, atMs, softwareVersion: '0.1.0' });

function whole(backup: MadeBackup) {
  if (!backup.ok) throw new Error(backup.detail);
  return backup.backup;
}

async function fullStore() {
  const store = await open(temporaryFolder());
  const { visitId } = await finishedJob(store);
  const kept = await store.records.photos.keep(tinyPng);
  if (!kept.ok) throw new Error(kept.reason);
  writeFileSync(join(store.dataDir, 'setup.json'), '{"cylinders":4}');
  return { store, visitId, photoId: kept.photo.id };
}

const chunks = cutIntoChunks(
  manifoldSignal({
    seed: 9,
    seconds: 60,
    channels: 4,
    sampleRateHz: 500,
    noiseKpa: 0.3,
    clockRateHz: 1e6,
    timeJitterTicks: 4,
  }),
  250,
);

describe('a backup', () => {
  test('made while the service works holds one moment, and puts everything back', async () => {
    const { store, visitId } = await fullStore();
    const id = store.captures.begin(header);
    for (const chunk of chunks) store.captures.append(id, chunk);
    const folder = temporaryFolder();
    const making = backupOf(store, folder);
    let later = 0;
    const timer = setInterval(() => {
      store.captures.append(id, chunks[later++ % chunks.length]!);
    }, 1);
    const backup = whole(await making);
    clearInterval(timer);
    expect(backup.name).toBe('idlewright-backup-20240531T101500000Z');
    expect(statSync(backup.path).mode & 0o777).toBe(0o700);
    const job = await store.records.job(visitId);
    store.close();

    const target = join(temporaryFolder(), 'data');
    expect(await restoreBackup(backup.path, target, AT_MS)).toEqual({ ok: true, setAside: null });
    const restored = await open(target);
    expect(await restored.records.job(visitId)).toEqual(job);
    expect([...restored.captures.chunks(id)].slice(0, chunks.length)).toEqual(chunks);
    expect(readFileSync(join(target, 'setup.json'), 'utf8')).toBe('{"cylinders":4}');
    const [photo] = await restored.records.parts.db.selectFrom('photos').selectAll().execute();
    expect(await restored.records.photos.bytes(photo!.id)).toEqual(tinyPng);
    restored.close();
  });

  test('does not keep the service waiting for long at a time', async () => {
    const { store } = await fullStore();
    const id = store.captures.begin(header);
    store.database.transaction(() => {
      for (let round = 0; round < 3; round++) for (const chunk of chunks) store.captures.append(id, chunk);
    });
    let turns = 0;
    const timer = setInterval(() => turns++, 1);
    whole(await backupOf(store, temporaryFolder()));
    clearInterval(timer);
    expect(turns).toBeGreaterThan(5);
    store.close();
  });

  test('links the photos that the one before has, instead of keeping them twice', async () => {
    const { store } = await fullStore();
    const folder = temporaryFolder();
    const first = whole(await backupOf(store, folder, AT_MS));
    const second = whole(await backupOf(store, folder, AT_MS + 1000));
    const inodes = [first, second].map(({ path }) => {
      const [two] = readdirSync(join(path, 'photos'));
      const [name] = readdirSync(join(path, 'photos', two!));
      return statSync(join(path, 'photos', two!, name!)).ino;
    });
    expect(inodes[0]).toBe(inodes[1]);
    store.close();
  });

  test('clears away the half ones that were cut off more than a day before, and nothing else', async () => {
    const { store } = await fullStore();
    const folder = temporaryFolder();
    const hour = 3_600_000;
    const half = (hoursBefore: number) => `${backupName(AT_MS - hoursBefore * hour)}.partial`;
    const others = ['mine.partial', `${backupName(AT_MS - 48 * hour)}.partial.txt`];
    for (const name of [half(25), half(400), half(23), half(-1), ...others]) {
      mkdirSync(join(folder, name));
      writeFileSync(join(folder, name, 'piece'), 'x');
    }
    const { name } = whole(await backupOf(store, folder));
    expect(readdirSync(folder).sort()).toEqual([half(23), half(-1), ...others, name].sort());
    store.close();
  });

  test('is refused where its folder is not there, and leaves nothing half done', async () => {
    const { store } = await fullStore();
    const folder = join(temporaryFolder(), 'stick');
    expect(await backupOf(store, folder)).toEqual({
      ok: false,
      detail: `There is no folder ${folder}. Is the stick in?`,
    });
    expect(existsSync(folder)).toBe(false);
    const [photos] = await store.records.parts.db.selectFrom('photos').selectAll().execute();
    rmSync(photoPath(join(store.dataDir, PHOTO_FOLDER), photos!.id));
    mkdirSync(folder);
    const made = await backupOf(store, folder);
    expect(made).toMatchObject({ ok: false, detail: `the photo ${photos!.id} is missing` });
    expect(readdirSync(folder)).toEqual([]);
    store.close();
  });

  test.each([
    ['a byte of the database changed', (path: string) => flipByte(join(path, DATABASE_FILE))],
    ['a file missing', (path: string) => rmSync(join(path, 'setup.json'))],
    ['a file grown', (path: string) => appendFileSync(join(path, 'setup.json'), ' ')],
    ['no list of files', (path: string) => rmSync(join(path, 'manifest.json'))],
    ['half a list of files', (path: string) => writeFileSync(join(path, 'manifest.json'), '{"format":')],
    [
      'a list of files that leads elsewhere',
      (path: string) => {
        const manifest = join(path, 'manifest.json');
        writeFileSync(manifest, readFileSync(manifest, 'utf8').replace('setup.json', '../setup.json'));
      },
    ],
  ])('with %s is found out, and restoring it changes nothing', async (_title, damage) => {
    const { store, visitId } = await fullStore();
    const { path } = whole(await backupOf(store, temporaryFolder()));
    expect(await verifyBackup(path)).toMatchObject({
      ok: true,
      counts: { visits: 1, captures: 2, photos: 1 },
    });
    damage(path);
    expect((await verifyBackup(path)).ok).toBe(false);
    store.close();
    expect(await restoreBackup(path, store.dataDir, AT_MS)).toMatchObject({
      ok: false,
      code: 'backup-damaged',
    });
    const again = await open(store.dataDir);
    expect(await again.records.job(visitId)).not.toBeNull();
    again.close();
  });

  test('is not put in place while the service runs', async () => {
    const { store } = await fullStore();
    const { path } = whole(await backupOf(store, temporaryFolder()));
    expect(await restoreBackup(path, store.dataDir, AT_MS)).toMatchObject({ code: 'data-folder-in-use' });
    store.close();
  });

  test('sets the old data aside, so that the step can be taken back', async () => {
    const { store, visitId } = await fullStore();
    const { path } = whole(await backupOf(store, temporaryFolder()));
    made(await store.records.entries.create(visitId, { position: 1, body: { kind: 'note', text: 'newer' } }));
    const newer = await store.records.job(visitId);
    store.close();
    const restored = await restoreBackup(path, store.dataDir, AT_MS);
    if (!restored.ok || restored.setAside === null) throw new Error(JSON.stringify(restored));
    const older = await open(store.dataDir);
    expect((await older.records.job(visitId))?.entries.length).toBe(newer!.entries.length - 1);
    older.close();
    const aside = temporaryFolder();
    cpSync(restored.setAside, aside, { recursive: true });
    const back = await open(aside);
    expect(await back.records.job(visitId)).toEqual(newer);
    back.close();
  });

  test('puts right what is damaged beyond opening', async () => {
    const { store, visitId } = await fullStore();
    const { path } = whole(await backupOf(store, temporaryFolder()));
    store.close();
    writeFileSync(join(store.dataDir, DATABASE_FILE), 'ruined');
    expect((await verifyData(store.dataDir)).ok).toBe(false);
    expect((await restoreBackup(path, store.dataDir, AT_MS)).ok).toBe(true);
    expect((await verifyData(store.dataDir)).ok).toBe(true);
    const again = await open(store.dataDir);
    expect(await again.records.job(visitId)).not.toBeNull();
    again.close();
  });
});

describe('a folder that holds other things too', () => {
  test('is left as it is by opening, backing up and restoring', async () => {
    const folder = temporaryFolder();
    mkdirSync(join(folder, 'incoming'));
    writeFileSync(join(folder, 'incoming', 'letter.txt'), 'dear');
    writeFileSync(join(folder, 'film.mp4'), 'long');
    const store = await open(folder);
    const { path } = whole(await backupOf(store, temporaryFolder()));
    store.close();
    expect(readdirSync(path).sort()).toEqual([DATABASE_FILE, 'manifest.json'].sort());
    const restored = await restoreBackup(path, folder, AT_MS);
    if (!restored.ok || restored.setAside === null) throw new Error(JSON.stringify(restored));
    expect(readdirSync(restored.setAside).filter((name) => !name.startsWith(DATABASE_FILE))).toEqual([]);
    expect(existsSync(join(restored.setAside, DATABASE_FILE))).toBe(true);
    expect(readFileSync(join(folder, 'incoming', 'letter.txt'), 'utf8')).toBe('dear');
    expect(readFileSync(join(folder, 'film.mp4'), 'utf8')).toBe('long');
  });
});

describe('the data', () => {
  test('with a damaged piece of samples or a lost photo are told of', async () => {
    const { store, photoId } = await fullStore();
    expect(await verifyData(store.dataDir)).toMatchObject({
      ok: true,
      counts: { sampleChunks: 2, photos: 1 },
    });
    store.database.exec(`UPDATE capture_chunks SET bytes = x'00' WHERE capture_no = 1`);
    rmSync(photoPath(join(store.dataDir, PHOTO_FOLDER), photoId));
    expect(await verifyData(store.dataDir)).toEqual({
      ok: false,
      problems: ['1 of 2 pieces of raw samples cannot be read', `the photo ${photoId} is missing`],
    });
    store.close();
  });
});

describe('backups at their time', () => {
  function schedule(make: (folder: string, atMs: number) => Promise<MadeBackup>) {
    const clock = new ManualClock();
    const wishes = { folder: temporaryFolder() as string | null, everyHours: 24, keep: 2 };
    const said: string[] = [];
    const backups = new BackupSchedule({
      clock,
      wishes: async () => wishes,
      make,
      log: (text) => said.push(text),
    });
    return { clock, wishes, said, backups };
  }

  test('are made at once, then each day, and the oldest beyond those to keep go', async () => {
    const { store } = await fullStore();
    const { clock, wishes, backups } = schedule((folder, atMs) => backupOf(store, folder, atMs));
    for (let hour = 0; hour <= 72; hour++) {
      await backups.look();
      await clock.advance(3_600_000);
    }
    const found = await backupsIn(wishes.folder!);
    expect(found.length).toBe(2);
    expect(found[0]!.madeAtMs - found[1]!.madeAtMs).toBe(24 * 3_600_000);
    expect(await backups.state()).toMatchObject({ lastProblem: null, lastMadeAtMs: found[0]!.madeAtMs });
    store.close();
  });

  test('that fail are told of and tried again after ten minutes, again and again', async () => {
    let tries = 0;
    const { clock, said, backups } = schedule(async () => {
      tries++;
      return { ok: false, detail: 'no room' };
    });
    for (let minute = 0; minute < 60; minute++) {
      await backups.look();
      await clock.advance(60_000);
    }
    expect(tries).toBe(6);
    expect(said[0]).toBe('backup failed: no room');
    expect((await backups.state()).lastProblem).toBe('no room');
  });

  test('that fail are a problem of the folder that they were for, not of the next', async () => {
    const { wishes, backups } = schedule(async () => ({ ok: false, detail: 'no room' }));
    await backups.run();
    expect((await backups.state()).lastProblem).toBe('no room');
    wishes.folder = join(temporaryFolder(), 'other');
    expect((await backups.state()).lastProblem).toBeNull();
  });

  test('are not made without a folder', async () => {
    let tries = 0;
    const { wishes, backups } = schedule(async () => {
      tries++;
      return { ok: false, detail: '' };
    });
    wishes.folder = null;
    await backups.look();
    expect(await backups.run()).toBeNull();
    expect(tries).toBe(0);
  });

  test('asked for twice at once are made once, and stopping waits for it', async () => {
    let finish: (backup: MadeBackup) => void = () => {};
    let tries = 0;
    const { backups } = schedule(() => {
      tries++;
      return new Promise((resolve) => {
        finish = resolve;
      });
    });
    const both = [backups.run(), backups.run()];
    await new Promise(setImmediate);
    let stopped = false;
    const stop = backups.stop().then(() => {
      stopped = true;
    });
    await new Promise(setImmediate);
    expect(stopped).toBe(false);
    finish({ ok: false, detail: 'x' });
    await Promise.all([...both, stop]);
    expect(tries).toBe(1);
  });

  test('keep files of others in the same folder', async () => {
    const { store } = await fullStore();
    const { clock, wishes, backups } = schedule((folder, atMs) => backupOf(store, folder, atMs));
    wishes.keep = 1;
    mkdirSync(join(wishes.folder!, 'idlewright-backup-of-mine'));
    for (let day = 0; day < 3; day++) {
      await backups.run();
      await clock.advance(24 * 3_600_000);
    }
    expect(readdirSync(wishes.folder!).length).toBe(2);
    expect(readdirSync(wishes.folder!)).toContain('idlewright-backup-of-mine');
    store.close();
  });
});

describe('the command line', () => {
  const run = async (...values: string[]) => {
    const child = spawn(process.execPath, nodeArguments('./records-command-line.ts', ...values));
    const { code, output } = await childEnd(child);
    return { code, output };
  };

  test('backs up while the service runs, verifies, restores, exports and imports', async () => {
    const { store, visitId } = await fullStore();
    const data = ['--data', store.dataDir];
    const folder = temporaryFolder();
    const backup = await run('backup', folder, ...data);
    expect(backup.code).toBe(0);
    const path = backup.output.trim();
    expect(await run('verify', path, ...data)).toEqual({
      code: 0,
      output: 'whole: 1 job, 1 machine, 1 owner, 2 captures, 1 photo\n',
    });
    expect((await run('verify', ...data)).code).toBe(0);
    expect((await run('restore', path, ...data)).output).toContain('Stop the other copy of the program');
    const document = join(folder, 'all.json');
    expect((await run('export', document, ...data)).code).toBe(0);
    const job = await store.records.job(visitId);
    store.close();

    const other = join(temporaryFolder(), 'data');
    const restored = await run('restore', path, '--data', other);
    expect(restored).toEqual({ code: 0, output: `restored to ${other}\n` });
    const third = join(temporaryFolder(), 'data');
    expect((await run('import', document, '--data', third)).code).toBe(0);
    for (const dataDir of [other, third]) {
      const again = await open(dataDir);
      expect(await again.records.job(visitId)).toEqual(job);
      again.close();
    }
    flipByte(join(path, DATABASE_FILE));
    const damaged = await run('verify', path, ...data);
    expect(damaged.code).toBe(1);
    expect(damaged.output).toContain('The backup is damaged or not complete');
    chmodSync(document, 0o600);
    writeFileSync(document, 'nonsense');
    const refused = await run('import', document, '--data', third);
    expect(refused.code).toBe(1);
    expect(refused.output).toContain('The file cannot be imported; nothing was changed.');
  }, 240_000);

  /** What a command says where it fails, without a process of its own. */
  const failures = async (...values: string[]) => {
    const said: string[] = [];
    const program = new Command('idlewright').option('--data <folder>');
    registerRecordsCommands(program, {
      softwareVersion: '0.1.0',
      wallMs: () => AT_MS,
      records: () => null,
      write: () => {},
      fail: (sentence) => said.push(sentence),
    });
    await program.parseAsync(values, { from: 'user' });
    return said;
  };

  test('says in a sentence what it was given to work on that is not there, and spoils no file', async () => {
    const { store } = await fullStore();
    store.close();
    const data = ['--data', store.dataDir];
    const kept = join(temporaryFolder(), 'kept.json');
    writeFileSync(kept, 'an earlier export');
    const nowhere = ['--data', join(temporaryFolder(), 'not-there')];
    const noFile = 'The file cannot be read or written.';
    const noData = 'There are no data in this folder.';
    const noJob = 'There is no such entry in the job record.';
    const tries: [string, string[]][] = [
      [noFile, ['import', join(temporaryFolder(), 'missing.json'), ...data]],
      [noFile, ['import', temporaryFolder(), ...data]],
      [noFile, ['export', join(temporaryFolder(), 'missing', 'all.json'), ...data]],
      [noData, ['export', kept, ...nowhere]],
      [noData, ['backup', temporaryFolder(), ...nowhere]],
      [noData, ['verify', ...nowhere]],
      [noJob, ['export', kept, '--visit', 'no-such-job', ...data]],
    ];
    for (const [sentence, values] of tries)
      expect(await failures(...values), values.join(' ')).toEqual([expect.stringContaining(sentence)]);
    expect(readFileSync(kept, 'utf8')).toBe('an earlier export');
  });
});

function flipByte(path: string): void {
  const bytes = readFileSync(path);
  bytes[bytes.length - 100]! ^= 0xff;
  writeFileSync(path, bytes);
}

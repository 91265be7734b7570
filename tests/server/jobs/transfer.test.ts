import { Readable } from 'node:stream';
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { ownSensorType } from '../../../calibration/own-sensor-type.ts';
import { MPX4115A } from '../../../calibration/sensor-types.ts';
import type { SampleChunk } from '../../../server/jobs/capture-store.ts';
import type { Store } from '../../../server/jobs/open-store.ts';
import { exportDocument } from '../../../server/jobs/transfer/export-document.ts';
import { importDocument } from '../../../server/jobs/transfer/import-document.ts';
import { samplesFromCsv, samplesToCsv } from '../../../server/jobs/transfer/samples-csv.ts';
import { listVisits } from '../../../server/jobs/visit-list.ts';
import { figures, header, open } from './capture-fixture.ts';
import { holdResult, matchingOf } from './found-fixture.ts';
import { machineFields, made, ownerFields } from './job-fixture.ts';
import { cutIntoChunks, manifoldSignal } from './manifold-signal.ts';
import { tinyPng } from './photo-fixture.ts';
import { finishedJob } from './report-fixture.ts';
import { temporaryFolder } from './temporary-folder.ts';

const SEED = 550_011;

async function exported(store: Store, visitId: string | null = null): Promise<string> {
  let text = '';
  for await (const piece of exportDocument(store.openMoment, {
    visitId,
    exportedAtMs: 5,
    softwareVersion: '0.1.0',
  }))
    text += piece;
  return text;
}

const imported = (store: Store, text: string, pieceBytes = 65_536) =>
  importDocument(store, () => {
    const bytes = Buffer.from(text);
    const pieces: Buffer[] = [];
    for (let at = 0; at < bytes.length; at += pieceBytes) pieces.push(bytes.subarray(at, at + pieceBytes));
    return Readable.from(pieces);
  });

async function fullStore() {
  const store = await open(temporaryFolder());
  const { visitId } = await finishedJob(store);
  const kept = await store.records.photos.keep(tinyPng);
  if (!kept.ok) throw new Error(kept.reason);
  made(
    await store.records.entries.create(visitId, {
      position: 1,
      body: {
        kind: 'finding',
        text: 'line one\nline two "quoted" \u2028 🏍',
        weight: 'note',
        photoIds: [kept.photo.id],
      },
    }),
  );
  const options = { seed: 5, seconds: 3, channels: 2, sampleRateHz: 500, noiseKpa: 0.3 };
  const chunks = cutIntoChunks(manifoldSignal({ ...options, clockRateHz: 1e6, timeJitterTicks: 4 }), 250);
  const capture = store.captures.begin({ ...header, label: 'between', visitId });
  for (const chunk of chunks) store.captures.append(capture, chunk);
  store.captures.complete(capture, figures);
  const loose = store.captures.begin({ ...header, label: 'between' });
  store.captures.append(loose, {
    timeTicks: [1, 2],
    counts: [
      [-1, 5],
      [6, -1],
    ],
  });
  store.captures.interrupt(loose, null);
  store.checkResults.append({ ...holdResult, visitId });
  store.checkResults.append(holdResult);
  const calibrationId = store.calibrations.append(matchingOf('bench-1', 700));
  const own = ownSensorType({
    name: 'BAR-1',
    measures: 'absolute',
    low: { supplyShare: 0.1, kpa: 20 },
    high: { supplyShare: 0.9, kpa: 105 },
    errorBandKpa: 1,
  });
  if (!own.ok) throw new Error(own.reason);
  const sensors = [
    { channel: 0, type: own.type, serial: '0042' },
    { channel: 1, type: MPX4115A, serial: null },
    { channel: 2, type: null, serial: '7' },
  ];
  store.calibrations.setSensors('bench-1', sensors, 6);
  return { store, visitId, capture, chunks, calibrationId, sensors };
}

let kept: Promise<string> | null = null;

/** The export of a full store, made once. */
function fullText(): Promise<string> {
  kept ??= (async () => {
    const { store } = await fullStore();
    const text = await exported(store);
    store.close();
    return text;
  })();
  return kept;
}

describe('an export', () => {
  test('is one JSON document that says what it is', async () => {
    const { store } = await fullStore();
    const document = JSON.parse(await exported(store));
    expect(document).toMatchObject({ format: 'idlewright-records', version: 2, softwareVersion: '0.1.0' });
    expect(document.records.at(-1)).toEqual({ kind: 'end', records: document.records.length - 1 });
    store.close();
  });

  test('of everything fills an empty record with the same, word for word and sample for sample', async () => {
    const { store, visitId, capture, chunks, calibrationId, sensors } = await fullStore();
    const text = await exported(store);
    const other = await open(temporaryFolder());
    const report = await imported(other, text, 1000);
    expect(report).toMatchObject({ kept: [], unchanged: 0, photos: 1, captures: 4 });
    expect(await exported(other)).toBe(text);
    expect(await other.records.job(visitId)).toEqual(await store.records.job(visitId));
    expect([...other.captures.chunks(capture)]).toEqual(chunks);
    expect(other.captures.list()).toEqual(store.captures.list());
    expect(other.checkResults.list()).toEqual(store.checkResults.list());
    expect(await other.records.checks.listForVisit(visitId)).toHaveLength(1);
    expect(other.calibrations.get(calibrationId)).toEqual(store.calibrations.get(calibrationId));
    expect(other.calibrations.samples(calibrationId)).toEqual(store.calibrations.samples(calibrationId));
    expect(other.calibrations.sensors('bench-1')).toEqual(sensors);
    expect((await listVisits(other.records.parts.db, { q: 'stumbles boot wilma' })).total).toBe(1);
    store.close();
    other.close();
  });

  test('of one job holds what belongs to it and nothing of others', async () => {
    const { store, visitId } = await fullStore();
    const stranger = await store.records.owners.create({ ...ownerFields, name: 'Somebody Else' });
    const theirs = made(await store.records.machines.create({ ...machineFields, ownerId: stranger.id }));
    made(
      await store.records.visits.create({
        machineId: theirs.id,
        day: '2024-01-01',
        complaint: 'private',
        odometer: null,
        technician: '',
      }),
    );
    const text = await exported(store, visitId);
    expect(text).not.toContain('Somebody');
    expect(text).not.toContain('private');
    const other = await open(temporaryFolder());
    await imported(other, text);
    expect(await other.records.job(visitId)).toEqual(await store.records.job(visitId));
    expect(other.checkResults.list()).toEqual(store.checkResults.list({ visitId }));
    expect(other.calibrations.boards()).toEqual([]);
    store.close();
    other.close();
  });

  test('shows one moment, whatever is written while it runs', async () => {
    const { store, visitId } = await fullStore();
    const document = exportDocument(store.openMoment, {
      visitId: null,
      exportedAtMs: 5,
      softwareVersion: '0.1.0',
    });
    const before = await exported(store);
    let text = (await document.next()).value as string;
    text += (await document.next()).value as string;
    made(await store.records.entries.create(visitId, { position: 9, body: { kind: 'note', text: 'later' } }));
    for await (const piece of document) text += piece;
    expect(text).toBe(before);
    store.close();
  });

  test('leaves the place of a damaged chunk empty and keeps the rest', async () => {
    const { store, capture, chunks } = await fullStore();
    store.database.exec(
      `UPDATE capture_chunks SET bytes = x'00' WHERE chunk_no IN (1, 5) AND capture_no = (SELECT capture_no FROM captures WHERE id = '${capture}')`,
    );
    const other = await open(temporaryFolder());
    await imported(other, await exported(store));
    expect([...other.captures.chunks(capture)]).toEqual([chunks[0], ...chunks.slice(2, 5)]);
    store.close();
    other.close();
  });
});

describe('an import', () => {
  test('done twice changes nothing the second time', async () => {
    const { store } = await fullStore();
    const text = await exported(store);
    const report = await imported(store, text);
    expect(report).toMatchObject({ added: 0, kept: [], photos: 0, captures: 0 });
    expect(report.unchanged).toBeGreaterThan(20);
    expect(await exported(store)).toBe(text);
    store.close();
  });

  test('never overwrites: what is there in another wording is kept and named', async () => {
    const { store } = await fullStore();
    const text = await exported(store);
    const [owner] = (await store.records.parts.db.selectFrom('owners').selectAll().execute())!;
    made(await store.records.owners.change(owner!.id, 1, { ...ownerFields, phone: 'new' }));
    const report = await imported(store, text);
    expect(report.kept).toEqual([{ kind: 'owner', id: owner!.id }]);
    expect((await store.records.owners.get(owner!.id))?.phone).toBe('new');
    store.close();
  });

  test('leaves where this computer puts its backups, and knows the shop again although it was saved more often', async () => {
    const { store } = await fullStore();
    const { revision, ...settings } = await store.records.shop.get();
    const backup = { ...settings.backup, folder: '/media/their-stick' };
    made(await store.records.shop.change(revision, { ...settings, name: 'The Tuning Shed', backup }));
    const text = await exported(store);
    const other = await open(temporaryFolder());
    await imported(other, text);
    const taken = await other.records.shop.get();
    expect([taken.name, taken.backup.folder]).toEqual(['The Tuning Shed', null]);
    const again = await imported(other, text);
    expect([again.added, again.kept]).toEqual([0, []]);
    store.close();
    other.close();
  });

  test('puts no calibration that comes with it before one that was made here', async () => {
    const { store, calibrationId } = await fullStore();
    const other = await open(temporaryFolder());
    const own = other.calibrations.append(matchingOf('bench-1', 10));
    other.calibrations.setSensors('bench-1', [{ channel: 0, type: null, serial: 'mine' }], 7);
    const report = await imported(other, await exported(store));
    expect(other.calibrations.ofBoard('bench-1').map(({ id }) => id)).toEqual([own, calibrationId]);
    expect(other.calibrations.sensors('bench-1')).toEqual([{ channel: 0, type: null, serial: 'mine' }]);
    expect(report.kept).toEqual([{ kind: 'sensors', id: 'bench-1' }]);
    store.close();
    other.close();
  });

  test('of the first version of the format is taken as well', async () => {
    const { store, visitId } = await fullStore();
    const lines = (await exported(store)).split('\n');
    const first = lines.filter((line) => !/^\{"kind":"(check|calibration|sensors)"/.test(line));
    const text = first
      .join('\n')
      .replace('"version":2', '"version":1')
      .replace(/"records":\d+\}\n\]\}/, `"records":${first.length - 4}}\n]}`);
    const other = await open(temporaryFolder());
    await imported(other, text);
    expect(await other.records.job(visitId)).toEqual(await store.records.job(visitId));
    store.close();
    other.close();
  });

  test('that was cut off is finished by doing it again', async () => {
    const { store, visitId } = await fullStore();
    const text = await exported(store);
    const other = await open(temporaryFolder());
    await imported(other, text);
    other.database.exec(
      `DELETE FROM entries WHERE position > 200; DELETE FROM captures WHERE label = 'between'`,
    );
    await imported(other, text);
    expect(await other.records.job(visitId)).toEqual(await store.records.job(visitId));
    store.close();
    other.close();
  });

  test.each([
    ['nothing', () => ''],
    ['another document', () => '{"hello":1}\n'],
    ['no JSON', () => '\u0000\u0001'],
    ['a document cut in the middle', (text: string) => text.slice(0, text.length / 2)],
    ['a document without its last line', (text: string) => text.slice(0, -4)],
    ['a document with a line taken out', (text: string) => text.split('\n').toSpliced(3, 1).join('\n')],
    [
      'a document with a line twice',
      (text: string) => text.split('\n').toSpliced(3, 0, text.split('\n')[3]!).join('\n'),
    ],
    ['a document with text after its end', (text: string) => `${text}more`],
    [
      'an owner with a number for a name',
      (text: string) => text.replace('"name":"Wilma Ásbjörn"', '"name":5'),
    ],
    ['an unknown kind', (text: string) => text.replace('{"kind":"owner"', '{"kind":"stranger"')],
    ['a day that does not exist', (text: string) => text.replaceAll('"2024-05-31"', '"2024-05-32"')],
    ['a formula among the samples', (text: string) => text.replace('\\r\\n1,', '\\r\\n=1+1,')],
    ['a fraction among the samples', (text: string) => text.replace('\\r\\n1,', '\\r\\n1.5,')],
    [
      'a check with an unknown verdict',
      (text: string) => text.replace('"verdict":"found"', '"verdict":"perhaps"'),
    ],
    [
      'a check that stands under another name',
      (text: string) => text.replace(/("kind":"check","id":")./, '$1x'),
    ],
    ['a calibration with an impossible gain', (text: string) => text.replace('"gain":1,', '"gain":9,')],
    ['a sensor with a level curve', (text: string) => text.replace(/"perKpa":[^,]+,/, '"perKpa":0,')],
    ['a photo that was changed', (text: string) => text.replace('"base64":"iVBOR', '"base64":"iVBOS')],
  ])('of %s is refused and nothing is written', async (_title, damage) => {
    const text = await fullText();
    const damaged = damage(text);
    expect(damaged).not.toBe(text);
    const other = await open(temporaryFolder());
    const empty = await exported(other);
    await expect(imported(other, damaged)).rejects.toMatchObject({ code: 'import-unreadable' });
    expect(await exported(other)).toBe(empty);
    other.close();
  });

  test('of a newer format says so', async () => {
    const store = await open(temporaryFolder());
    const text = (await fullText()).replace('"version":2', '"version":3');
    await expect(imported(store, text)).rejects.toMatchObject({ code: 'import-newer-format' });
    store.close();
  });
});

describe('samples as CSV', () => {
  test(`come back exactly (seed ${SEED})`, () => {
    const whole = fc.integer({ min: -(2 ** 47), max: 2 ** 47 });
    const chunks = fc
      .record({ rows: fc.integer({ min: 1, max: 30 }), channels: fc.integer({ min: 0, max: 8 }) })
      .chain(({ rows, channels }) => {
        const column = fc.array(whole, { minLength: rows, maxLength: rows });
        return fc.record({
          timeTicks: column,
          counts: fc.array(column, { minLength: channels, maxLength: channels }),
        });
      });
    fc.assert(
      fc.property(chunks, (chunk: SampleChunk) => {
        expect(samplesFromCsv(samplesToCsv(chunk))).toEqual(chunk);
      }),
      { seed: SEED },
    );
  });

  test('hold nothing but whole numbers and empty cells, as a spreadsheet takes text that begins with = for a formula', () => {
    const text = samplesToCsv({
      timeTicks: [10, 20],
      counts: [
        [-1, 512],
        [3, 4],
      ],
    });
    expect(text).toBe('time_ticks,counts_1,counts_2\r\n10,,3\r\n20,512,4\r\n');
  });

  test('of another form are none', () => {
    for (const text of [
      '',
      'time_ticks\r\n1',
      'time\r\n1\r\n',
      'time_ticks,counts_1\r\n1\r\n',
      'time_ticks\r\n1,2\r\n',
      'time_ticks\r\n1e3\r\n',
      'time_ticks\r\n\r\n',
    ]) {
      expect(samplesFromCsv(text)).toBeNull();
    }
  });
});

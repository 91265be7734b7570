import { describe, expect, test } from 'vitest';
import { figures, header, open } from './capture-fixture.ts';
import { cutIntoChunks, manifoldSignal } from './manifold-signal.ts';
import { temporaryFolder } from './temporary-folder.ts';

const signal = manifoldSignal({
  seed: 7,
  seconds: 50,
  channels: 2,
  sampleRateHz: 500,
  noiseKpa: 0.3,
  clockRateHz: 1_000_000,
  timeJitterTicks: 4,
});

describe('captures', () => {
  test('give back every sample, the header and the figures after the file was closed and opened again', async () => {
    const folder = temporaryFolder();
    const store = await open(folder);
    const chunks = cutIntoChunks(signal, 250);
    const id = store.captures.begin(header);
    for (const chunk of chunks) store.captures.append(id, chunk);
    const summary = store.captures.complete(id, figures);
    store.close();

    const again = await open(folder);
    expect([...again.captures.chunks(id)]).toEqual(chunks);
    expect(again.captures.header(id)).toEqual(header);
    expect(again.captures.figures(id)).toEqual(figures);
    expect(again.captures.get(id)).toEqual(summary);
    expect(summary).toMatchObject({
      label: 'before',
      state: 'complete',
      samples: 25_000,
      cylinders: 2,
      gapsKpa: [0, 2.5],
      idleRpm: 1100,
      roughnessScore: null,
    });
    expect(summary.durationS).toBeCloseTo(49.998, 4);
    again.close();
  });

  test('that were cut off are interrupted and readable at the next start', async () => {
    const folder = temporaryFolder();
    const store = await open(folder);
    const [chunk] = cutIntoChunks(signal, 250);
    const id = store.captures.begin(header);
    store.captures.append(id, chunk!);
    store.close();

    const again = await open(folder);
    expect(again.interruptedAtOpening).toBe(1);
    expect(again.captures.get(id)).toMatchObject({ state: 'interrupted', samples: 250, spreadKpa: null });
    expect([...again.captures.chunks(id)]).toEqual([chunk]);
    expect(() => again.captures.append(id, chunk!)).toThrow('is not recording');
    again.close();
  });

  test('with a damaged chunk tell of it and give the rest', async () => {
    const store = await open(temporaryFolder());
    const chunks = cutIntoChunks(signal, 250).slice(0, 3);
    const id = store.captures.begin(header);
    for (const chunk of chunks) store.captures.append(id, chunk);
    store.database.exec(`UPDATE capture_chunks SET bytes = x'0102030405060708' WHERE chunk_no = 1`);
    const damages: unknown[] = [];
    expect([...store.captures.chunks(id, (damage) => damages.push(damage))]).toEqual([chunks[0], chunks[2]]);
    expect(damages).toEqual([{ chunkNo: 1, reason: 'checksum-wrong' }]);
    store.close();
  });

  test('are listed newest first, two starting at once in the order made', async () => {
    const store = await open(temporaryFolder());
    const first = store.captures.begin({ ...header, startedAtMs: 2 });
    const second = store.captures.begin({ ...header, startedAtMs: 2 });
    const oldest = store.captures.begin({ ...header, startedAtMs: 1 });
    expect(store.captures.list().map((capture) => capture.id)).toEqual([second, first, oldest]);
    store.close();
  });

  test('can be hung on a visit later', async () => {
    const store = await open(temporaryFolder());
    const id = store.captures.begin(header);
    store.captures.setVisit(id, 'visit-1');
    expect(store.captures.header(id)?.visitId).toBe('visit-1');
    expect(store.captures.listForVisit('visit-1').map((capture) => capture.id)).toEqual([id]);
    expect(store.captures.setVisit('none', 'visit-1')).toBeNull();
    store.close();
  });

  test('that do not exist are null, and adding to one is a mistake of the caller', async () => {
    const store = await open(temporaryFolder());
    expect(store.captures.get('none')).toBeNull();
    expect(store.captures.header('none')).toBeNull();
    expect([...store.captures.chunks('none')]).toEqual([]);
    expect(() => store.captures.append('none', { timeTicks: [1], counts: [] })).toThrow(RangeError);
    expect(() => store.captures.complete('none', figures)).toThrow(RangeError);
    store.close();
  });

  test('refuse text with a NUL, which the database would cut short', async () => {
    const store = await open(temporaryFolder());
    expect(() => store.captures.begin({ ...header, sourceAddress: 'a\0b' })).toThrow('NUL');
    expect(store.captures.list()).toEqual([]);
    store.close();
  });
});

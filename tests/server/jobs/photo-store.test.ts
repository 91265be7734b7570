import { createHash } from 'node:crypto';
import { existsSync, readdirSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { MAX_PHOTO_BYTES, PHOTO_FOLDER, photoPath } from '../../../server/jobs/photo-store.ts';
import { open } from './capture-fixture.ts';
import { tinyPng } from './photo-fixture.ts';
import { temporaryFolder } from './temporary-folder.ts';

const jpeg = Buffer.from([0xff, 0xd8, 0xff, 0xe0, 0, 16, 0x4a, 0x46, 0x49, 0x46, 0]);
const webp = Buffer.concat([Buffer.from('RIFF'), Buffer.from([4, 0, 0, 0]), Buffer.from('WEBPVP8 ')]);

describe('photos', () => {
  test.each([
    ['PNG', tinyPng, 'image/png'],
    ['JPEG', jpeg, 'image/jpeg'],
    ['WebP', webp, 'image/webp'],
  ])('in %s are kept byte for byte under the hash of their bytes', async (_title, bytes, type) => {
    const folder = temporaryFolder();
    const { records, close } = await open(folder);
    const kept = await records.photos.keep(bytes);
    const id = createHash('sha256').update(bytes).digest('hex');
    expect(kept).toEqual({ ok: true, photo: { id, type, bytes: bytes.length } });
    expect(await records.photos.keep(bytes)).toEqual(kept);
    expect(await records.photos.bytes(id)).toEqual(bytes);
    expect(await records.photos.get(id)).toEqual({ id, type, bytes: bytes.length });
    close();
  });

  test.each([
    ['a page', Buffer.from('<html><script>alert(1)</script>')],
    ['a drawing', Buffer.from('<svg xmlns="http://www.w3.org/2000/svg"/>')],
    ['a GIF', Buffer.from('GIF89a123456')],
    ['a sound in the same wrapper as WebP', Buffer.concat([Buffer.from('RIFF1234WAVEfmt ')])],
    ['nothing', Buffer.alloc(0)],
    ['half a signature', tinyPng.subarray(0, 4)],
  ])('that are %s are refused, whatever they are called', async (_title, bytes) => {
    const folder = temporaryFolder();
    const { records, close } = await open(folder);
    expect(await records.photos.keep(bytes)).toEqual({ ok: false, reason: 'unreadable' });
    expect(existsSync(join(folder, PHOTO_FOLDER))).toBe(false);
    close();
  });

  test('above the limit are refused', async () => {
    const { records, close } = await open(temporaryFolder());
    const large = Buffer.concat([jpeg, Buffer.alloc(MAX_PHOTO_BYTES)]);
    expect(await records.photos.keep(large)).toEqual({ ok: false, reason: 'too-large' });
    close();
  });

  test('that were changed on the disk are not given out', async () => {
    const { dataDir, records, close } = await open(temporaryFolder());
    const kept = await records.photos.keep(tinyPng);
    if (!kept.ok) throw new Error(kept.reason);
    writeFileSync(photoPath(join(dataDir, PHOTO_FOLDER), kept.photo.id), jpeg);
    expect(await records.photos.bytes(kept.photo.id)).toBeNull();
    close();
  });

  test('cannot be named so that another file is meant', async () => {
    const folder = temporaryFolder();
    const { records, close } = await open(folder);
    expect(() => photoPath(join(folder, PHOTO_FOLDER), '../../etc/passwd')).toThrow(RangeError);
    expect(await records.photos.bytes('../idlewright.sqlite')).toBeNull();
    expect(readdirSync(folder)).not.toContain(PHOTO_FOLDER);
    close();
  });
});

/** Photos as files named after the SHA-256 of their bytes: the same photo is kept once, a changed one is noticed. */
import { createHash } from 'node:crypto';
import {
  closeSync,
  existsSync,
  fsyncSync,
  mkdirSync,
  openSync,
  renameSync,
  rmSync,
  writeSync,
} from 'node:fs';
import { readFile } from 'node:fs/promises';
import { dirname, join } from 'node:path';
import type { Photo } from '../contract/jobs.ts';
import { syncFolder } from '../durable-files.ts';
import { photoType } from './photo-type.ts';
import type { RecordParts } from './record-parts.ts';

export const MAX_PHOTO_BYTES = 12 * 1024 * 1024;
export const PHOTO_FOLDER = 'photos';

export type KeptPhoto =
  | { readonly ok: true; readonly photo: Photo }
  | { readonly ok: false; readonly reason: 'unreadable' | 'too-large' };

/** Where the photos of the record are. */
export interface Photos {
  keep(bytes: Uint8Array): Promise<KeptPhoto>;
  get(id: string): Promise<Photo | null>;
  /** null where the bytes are gone or no longer what they were. */
  bytes(id: string): Promise<Buffer | null>;
}

/** What a photo is called and what it is, or why it is none. */
export function readPhoto(bytes: Uint8Array): KeptPhoto {
  if (bytes.length > MAX_PHOTO_BYTES) return { ok: false, reason: 'too-large' };
  const type = photoType(bytes);
  if (type === null) return { ok: false, reason: 'unreadable' };
  return { ok: true, photo: { id: photoId(bytes), type, bytes: bytes.length } };
}

export const photoId = (bytes: Uint8Array): string => createHash('sha256').update(bytes).digest('hex');

export class PhotoStore implements Photos {
  readonly #parts: RecordParts;
  readonly #folder: string;

  constructor(parts: RecordParts, dataDir: string) {
    this.#parts = parts;
    this.#folder = join(dataDir, PHOTO_FOLDER);
  }

  /** The bytes are on the disk before the record speaks of them. */
  async keep(bytes: Uint8Array): Promise<KeptPhoto> {
    const read = readPhoto(bytes);
    if (!read.ok) return read;
    const { photo } = read;
    writeWhole(this.path(photo.id), bytes);
    const { write, db, queue, wallMs } = this.#parts;
    const query = db
      .insertInto('photos')
      .values({ ...photo, created_at_ms: wallMs() })
      .onConflict((conflict) => conflict.column('id').doNothing());
    await queue.run(() => write([{ query }]));
    return read;
  }

  async get(id: string): Promise<Photo | null> {
    const row = await this.#parts.db.selectFrom('photos').selectAll().where('id', '=', id).executeTakeFirst();
    return row === undefined ? null : { id: row.id, type: row.type as Photo['type'], bytes: row.bytes };
  }

  /** null where the file is gone or no longer what it was. */
  async bytes(id: string): Promise<Buffer | null> {
    try {
      const bytes = await readFile(this.path(id));
      return photoId(bytes) === id ? bytes : null;
    } catch {
      return null;
    }
  }

  path(id: string): string {
    return photoPath(this.#folder, id);
  }
}

/** @throws RangeError for what is no hash, so that no other file can be named */
export function photoPath(folder: string, id: string): string {
  if (!/^[0-9a-f]{64}$/.test(id)) throw new RangeError('a photo is named after its SHA-256');
  return join(folder, id.slice(0, 2), id);
}

function writeWhole(path: string, bytes: Uint8Array): void {
  if (existsSync(path)) return;
  mkdirSync(dirname(path), { recursive: true, mode: 0o700 });
  const partial = `${path}.partial`;
  const file = openSync(partial, 'w', 0o600);
  try {
    let written = 0;
    while (written < bytes.length) written += writeSync(file, bytes, written);
    fsyncSync(file);
  } catch (error) {
    rmSync(partial, { force: true });
    throw error;
  } finally {
    closeSync(file);
  }
  renameSync(partial, path);
  syncFolder(dirname(path));
}

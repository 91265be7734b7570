import type { Photo } from '../../contract/jobs.ts';
import { type KeptPhoto, type Photos, photoId, readPhoto } from '../photo-store.ts';
import type { RecordParts } from '../record-parts.ts';

/** Photos in the shared record itself, so that every bench has them. */
export class RecordPhotos implements Photos {
  readonly #parts: RecordParts;

  constructor(parts: RecordParts) {
    this.#parts = parts;
  }

  async keep(bytes: Uint8Array): Promise<KeptPhoto> {
    const read = readPhoto(bytes);
    if (!read.ok) return read;
    const { db, queue, write, wallMs } = this.#parts;
    const { photo } = read;
    await queue.run(() =>
      write([
        {
          query: db
            .insertInto('photos')
            .values({ ...photo, created_at_ms: wallMs() })
            .onConflict((conflict) => conflict.column('id').doNothing()),
        },
        {
          query: db
            .insertInto('photo_bytes')
            .values({ id: photo.id, bytes: Buffer.from(bytes) })
            .onConflict((conflict) => conflict.column('id').doUpdateSet({ bytes: Buffer.from(bytes) })),
        },
      ]),
    );
    return read;
  }

  async get(id: string): Promise<Photo | null> {
    const row = await this.#parts.db.selectFrom('photos').selectAll().where('id', '=', id).executeTakeFirst();
    return row === undefined ? null : { id: row.id, type: row.type as Photo['type'], bytes: row.bytes };
  }

  async bytes(id: string): Promise<Buffer | null> {
    const { db } = this.#parts;
    const row = await db.selectFrom('photo_bytes').select('bytes').where('id', '=', id).executeTakeFirst();
    if (row === undefined) return null;
    const bytes = Buffer.from(row.bytes);
    return photoId(bytes) === id ? bytes : null;
  }
}

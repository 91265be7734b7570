import type { Selectable } from 'kysely';
import type { CaptureSummary } from '../../contract/captures.ts';
import type { WholeCapture } from '../capture-records.ts';
import { cylindersOf, summaryFromRow } from '../capture-rows.ts';
import type { CaptureFigures, CaptureHeader, DamagedChunk, SampleChunk } from '../capture-store.ts';
import type { JobCaptures } from '../job-captures.ts';
import type { RecordParts } from '../record-parts.ts';
import { decodeSampleChunk } from '../sample-chunk-codec.ts';
import type { CaptureRow, ChunkRow } from '../tables.ts';

export type NewCaptureRow = Omit<CaptureRow, 'capture_no'>;

const CHUNKS_PER_READ = 64;
const CHUNKS_PER_WRITE = 100;

/** Those that are in the shared record, whichever bench made them. */
export class RecordCaptures implements JobCaptures {
  readonly #parts: RecordParts;

  constructor(parts: RecordParts) {
    this.#parts = parts;
  }

  async listForVisit(visitId: string): Promise<CaptureSummary[]> {
    const rows = await this.#parts.db
      .selectFrom('captures')
      .selectAll()
      .where('visit_id', '=', visitId)
      .orderBy('started_at_ms')
      .orderBy('capture_no')
      .execute();
    return rows.map(summaryOf);
  }

  async get(captureId: string): Promise<CaptureSummary | null> {
    const row = await this.#row(captureId);
    return row === undefined ? null : summaryOf(row);
  }

  async header(captureId: string): Promise<CaptureHeader | null> {
    const row = await this.#row(captureId);
    if (row === undefined) return null;
    return { ...(JSON.parse(row.header_json) as CaptureHeader), visitId: row.visit_id };
  }

  async figures(captureId: string): Promise<CaptureFigures | null> {
    const json = (await this.#row(captureId))?.figures_json ?? null;
    return json === null ? null : (JSON.parse(json) as CaptureFigures);
  }

  async *chunks(captureId: string, onDamaged?: (damage: DamagedChunk) => void): AsyncGenerator<SampleChunk> {
    const captureNo = (await this.#row(captureId))?.capture_no;
    if (captureNo === undefined) return;
    let last = -1;
    for (;;) {
      const rows = await this.#parts.db
        .selectFrom('capture_chunks')
        .select(['chunk_no', 'bytes'])
        .where('capture_no', '=', captureNo)
        .where('chunk_no', '>', last)
        .orderBy('chunk_no')
        .limit(CHUNKS_PER_READ)
        .execute();
      if (rows.length === 0) return;
      for (const { chunk_no, bytes } of rows) {
        last = chunk_no;
        const decoded = decodeSampleChunk(bytes);
        if (decoded.ok) yield decoded.chunk;
        else onDamaged?.({ chunkNo: last, reason: decoded.reason });
      }
    }
  }

  setVisit(captureId: string, visitId: string | null): Promise<CaptureSummary | null> {
    const { db, queue, write } = this.#parts;
    return queue.run(async () => {
      await write([
        { query: db.updateTable('captures').set({ visit_id: visitId }).where('id', '=', captureId) },
      ]);
      return this.get(captureId);
    });
  }

  async insertWhole({ id, header, state, figures, chunks }: WholeCapture): Promise<void> {
    const row: NewCaptureRow = {
      id,
      label: header.label,
      state,
      practice: header.practice ? 1 : 0,
      source_address: header.sourceAddress,
      started_at_ms: header.startedAtMs,
      cylinders: cylindersOf(header),
      visit_id: header.visitId,
      software_version: header.softwareVersion,
      header_json: JSON.stringify(header),
      figures_json: figures === null ? null : JSON.stringify(figures),
      samples: chunks.reduce((sum, { ticks }) => sum + ticks.length, 0),
      chunks: (chunks.at(-1)?.chunkNo ?? -1) + 1,
      first_ticks: chunks[0]?.ticks[0] ?? null,
      last_ticks: chunks.at(-1)?.ticks.at(-1) ?? null,
    };
    await this.put(
      row,
      chunks.map(({ chunkNo, bytes }) => ({ chunk_no: chunkNo, bytes })),
    );
  }

  /**
   * Puts a capture in, once: its id decides, so that doing it again, or twice at the same time, changes nothing. Figures
   * that were computed afterwards are added.
   */
  put(row: NewCaptureRow, chunks: Iterable<Omit<ChunkRow, 'capture_no'>>): Promise<void> {
    const { db, queue } = this.#parts;
    return queue.run(async () => {
      const visit_id = await this.#fittingVisit(row);
      const added = await db
        .insertInto('captures')
        .values({ ...row, visit_id })
        .onConflict((conflict) => conflict.column('id').doNothing())
        .returning('capture_no')
        .executeTakeFirst();
      if (added === undefined) {
        const { figures_json } = row;
        await db
          .updateTable('captures')
          .set({ figures_json })
          .where('id', '=', row.id)
          .where('figures_json', 'is', null)
          .execute();
        return;
      }
      const { capture_no } = added;
      let some: ChunkRow[] = [];
      const send = async () => {
        if (some.length > 0) await db.insertInto('capture_chunks').values(some).execute();
        some = [];
      };
      for (const chunk of chunks) {
        some.push({ ...chunk, capture_no });
        if (some.length >= CHUNKS_PER_WRITE) await send();
      }
      await send();
    });
  }

  /** What the practice engine did is kept off the jobs of real machines. */
  async #fittingVisit({ visit_id, practice }: NewCaptureRow): Promise<string | null> {
    if (visit_id === null) return null;
    const visit = await this.#parts.db
      .selectFrom('visits')
      .select('practice')
      .where('id', '=', visit_id)
      .executeTakeFirst();
    return visit !== undefined && visit.practice === 0 && practice === 1 ? null : visit_id;
  }

  #row(captureId: string) {
    return this.#parts.db.selectFrom('captures').selectAll().where('id', '=', captureId).executeTakeFirst();
  }
}

const summaryOf = (row: Selectable<CaptureRow>): CaptureSummary => summaryFromRow({ ...row });

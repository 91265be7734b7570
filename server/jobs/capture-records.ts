import type { CaptureSummary } from '../contract/captures.ts';
import { cylindersOf, summaryFromRow, textOrNull } from './capture-rows.ts';
import type {
  CaptureFigures,
  CaptureHeader,
  CaptureStore,
  DamagedChunk,
  SampleChunk,
} from './capture-store.ts';
import { decodeSampleChunk, encodeSampleChunk } from './sample-chunk-codec.ts';
import type { SqliteDatabase, SqliteRow, SqliteStatement } from './sqlite-database.ts';

/** `list` answers at most this many, the newest: every screen that connects is sent them. */
export const MAX_LISTED_CAPTURES = 200;

const CHUNKS_PER_READ = 64;

export interface WholeCapture {
  readonly id: string;
  readonly header: CaptureHeader;
  readonly state: 'complete' | 'interrupted';
  readonly figures: CaptureFigures | null;
  /** Encoded, in order, with the time of every sample in them. */
  readonly chunks: readonly {
    readonly chunkNo: number;
    readonly bytes: Uint8Array;
    readonly ticks: readonly number[];
  }[];
}

/** Captures in the database. Every call is done and on the disk when it returns. */
export class CaptureRecords implements CaptureStore {
  readonly #database: SqliteDatabase;
  readonly #newId: () => string;
  readonly #insertChunk: SqliteStatement;
  readonly #countChunk: SqliteStatement;

  constructor(database: SqliteDatabase, newId: () => string) {
    this.#database = database;
    this.#newId = newId;
    this.#insertChunk = database.prepare(
      `INSERT INTO capture_chunks (capture_no, chunk_no, bytes)
       SELECT capture_no, chunks, ? FROM captures WHERE id = ? AND state = 'recording'`,
    );
    this.#countChunk = database.prepare(
      `UPDATE captures SET chunks = chunks + 1, samples = samples + ?,
       first_ticks = coalesce(first_ticks, ?), last_ticks = ? WHERE id = ?`,
    );
  }

  begin(header: CaptureHeader): string {
    const id = this.#newId();
    this.#insert(id, header);
    return id;
  }

  #insert(id: string, header: CaptureHeader): void {
    this.#database
      .prepare(
        `INSERT INTO captures (id, label, state, practice, source_address, started_at_ms, cylinders, visit_id,
         software_version, header_json, samples, chunks) VALUES (?, ?, 'recording', ?, ?, ?, ?, ?, ?, ?, 0, 0)`,
      )
      .run(
        id,
        header.label,
        header.practice ? 1 : 0,
        header.sourceAddress,
        header.startedAtMs,
        cylindersOf(header),
        header.visitId,
        header.softwareVersion,
        JSON.stringify(header),
      );
  }

  /** @throws RangeError for a capture that is not recording; the database's error where the disk takes no more */
  append(captureId: string, chunk: SampleChunk): void {
    if (chunk.timeTicks.length === 0) return;
    const bytes = encodeSampleChunk(chunk);
    this.#database.transaction(() => {
      if (this.#insertChunk.run(bytes, captureId).changes !== 1) {
        throw new RangeError(`capture ${captureId} is not recording`);
      }
      this.#countChunk.run(chunk.timeTicks.length, chunk.timeTicks[0], chunk.timeTicks.at(-1), captureId);
    });
  }

  complete(captureId: string, figures: CaptureFigures): CaptureSummary {
    return this.#end(captureId, 'complete', figures);
  }

  interrupt(captureId: string, figures: CaptureFigures | null): CaptureSummary {
    return this.#end(captureId, 'interrupted', figures);
  }

  /** Newest first, at most `MAX_LISTED_CAPTURES`. */
  list(): CaptureSummary[] {
    return this.#database
      .prepare('SELECT * FROM captures ORDER BY started_at_ms DESC, capture_no DESC LIMIT ?')
      .all(MAX_LISTED_CAPTURES)
      .map(summaryFromRow);
  }

  /** Of one visit, oldest first. */
  listForVisit(visitId: string): CaptureSummary[] {
    return this.#database
      .prepare('SELECT * FROM captures WHERE visit_id = ? ORDER BY started_at_ms, capture_no')
      .all(visitId)
      .map(summaryFromRow);
  }

  get(captureId: string): CaptureSummary | null {
    const row = this.#row(captureId);
    return row === undefined ? null : summaryFromRow(row);
  }

  header(captureId: string): CaptureHeader | null {
    const row = this.#row(captureId);
    if (row === undefined) return null;
    // The column is what counts: a capture may be hung on a visit after it was made.
    return { ...(JSON.parse(String(row.header_json)) as CaptureHeader), visitId: textOrNull(row.visit_id) };
  }

  figures(captureId: string): CaptureFigures | null {
    const json = this.#row(captureId)?.figures_json;
    return typeof json === 'string' ? (JSON.parse(json) as CaptureFigures) : null;
  }

  /** Figures computed afterwards for a capture that was cut off; those of any other stay as they are. */
  fillFigures(captureId: string, figures: CaptureFigures): CaptureSummary | null {
    this.#database
      .prepare('UPDATE captures SET figures_json = ? WHERE id = ? AND figures_json IS NULL')
      .run(JSON.stringify(figures), captureId);
    return this.get(captureId);
  }

  *chunks(captureId: string, onDamaged?: (damage: DamagedChunk) => void): Iterable<SampleChunk> {
    const captureNo = this.#row(captureId)?.capture_no;
    if (captureNo === undefined) return;
    const read = this.#database.prepare(
      'SELECT chunk_no, bytes FROM capture_chunks WHERE capture_no = ? AND chunk_no > ? ORDER BY chunk_no LIMIT ?',
    );
    let last = -1;
    for (;;) {
      const rows = read.all(captureNo, last, CHUNKS_PER_READ);
      if (rows.length === 0) return;
      for (const row of rows) {
        last = Number(row.chunk_no);
        const decoded = decodeSampleChunk(row.bytes as Uint8Array);
        if (decoded.ok) yield decoded.chunk;
        else onDamaged?.({ chunkNo: last, reason: decoded.reason });
      }
    }
  }

  /** Writes a capture that was taken elsewhere, all or nothing. */
  insertWhole({ id, header, state, figures, chunks }: WholeCapture): void {
    const insertChunk = this.#database.prepare(
      'INSERT INTO capture_chunks (capture_no, chunk_no, bytes) SELECT capture_no, ?, ? FROM captures WHERE id = ?',
    );
    this.#database.transaction(() => {
      this.#insert(id, header);
      let samples = 0;
      for (const { chunkNo, bytes, ticks } of chunks) {
        insertChunk.run(chunkNo, bytes, id);
        samples += ticks.length;
      }
      this.#database
        .prepare(
          `UPDATE captures SET state = ?, figures_json = ?, samples = ?, chunks = ?, first_ticks = ?, last_ticks = ?
           WHERE id = ?`,
        )
        .run(
          state,
          figures === null ? null : JSON.stringify(figures),
          samples,
          (chunks.at(-1)?.chunkNo ?? -1) + 1,
          chunks[0]?.ticks[0] ?? null,
          chunks.at(-1)?.ticks.at(-1) ?? null,
          id,
        );
    });
  }

  /** Hangs a capture on a visit, or with null takes it off. @returns null where there is no such capture */
  setVisit(captureId: string, visitId: string | null): CaptureSummary | null {
    this.#database.prepare('UPDATE captures SET visit_id = ? WHERE id = ?').run(visitId, captureId);
    return this.get(captureId);
  }

  /** After a cut-off: what is still 'recording' no longer is. @returns how many there were */
  interruptAllRecording(): number {
    return this.#database.prepare(`UPDATE captures SET state = 'interrupted' WHERE state = 'recording'`).run()
      .changes;
  }

  #end(captureId: string, state: 'complete' | 'interrupted', figures: CaptureFigures | null): CaptureSummary {
    this.#database
      .prepare(`UPDATE captures SET state = ?, figures_json = ? WHERE id = ? AND state = 'recording'`)
      .run(state, figures === null ? null : JSON.stringify(figures), captureId);
    const summary = this.get(captureId);
    if (summary === null) throw new RangeError(`there is no capture ${captureId}`);
    return summary;
  }

  #row(captureId: string): SqliteRow | undefined {
    return this.#database.prepare('SELECT * FROM captures WHERE id = ?').get(captureId);
  }
}

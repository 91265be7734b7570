import type { CheckResult } from '../../contract/checks.ts';
import { textOrNull } from '../capture-rows.ts';
import { checkResultFromJson } from '../check-result-rows.ts';
import type { SqliteDatabase } from '../sqlite-database.ts';
import type { ChunkRow } from '../tables.ts';
import type { NewCaptureRow } from './record-captures.ts';

const CHUNKS_PER_READ = 64;

/**
 * Which captures and results of checks of this bench are in which shared record. One is marked only after the record has it
 * for sure, and the record takes each once: whatever breaks in between, doing it again is right.
 */
export class BenchOutbox {
  readonly #database: SqliteDatabase;

  constructor(database: SqliteDatabase) {
    this.#database = database;
  }

  /** Ended, and not there or there without figures that were computed since; in the order they were begun. */
  waiting(recordId: string): string[] {
    return this.#database
      .prepare(
        `SELECT c.id FROM captures AS c LEFT JOIN capture_deliveries AS d ON d.capture_id = c.id AND d.record_id = ?
         WHERE c.state <> 'recording'
         AND (d.capture_id IS NULL OR (d.with_figures = 0 AND c.figures_json IS NOT NULL))
         ORDER BY c.capture_no`,
      )
      .all(recordId)
      .map((row) => String(row.id));
  }

  isDelivered(captureId: string, recordId: string): boolean {
    const found = this.#database
      .prepare('SELECT 1 AS n FROM capture_deliveries WHERE capture_id = ? AND record_id = ?')
      .get(captureId, recordId);
    return found !== undefined;
  }

  marked(captureId: string, recordId: string, withFigures: boolean): void {
    this.#database
      .prepare(
        `INSERT INTO capture_deliveries (capture_id, record_id, with_figures) VALUES (?, ?, ?)
         ON CONFLICT (capture_id, record_id) DO UPDATE SET with_figures = excluded.with_figures`,
      )
      .run(captureId, recordId, withFigures ? 1 : 0);
  }

  /** Results of checks that are not there, in the order they were found. */
  waitingChecks(recordId: string): CheckResult[] {
    return this.#database
      .prepare(
        `SELECT result_json FROM check_results
         WHERE id NOT IN (SELECT result_id FROM check_deliveries WHERE record_id = ?) ORDER BY result_no`,
      )
      .all(recordId)
      .flatMap((row) => checkResultFromJson(row.result_json) ?? []);
  }

  markedCheck(resultId: string, recordId: string): void {
    this.#database
      .prepare('INSERT OR IGNORE INTO check_deliveries (result_id, record_id) VALUES (?, ?)')
      .run(resultId, recordId);
  }

  row(captureId: string): NewCaptureRow | null {
    const row = this.#database.prepare('SELECT * FROM captures WHERE id = ?').get(captureId);
    if (row === undefined) return null;
    const { capture_no: _ours, ...others } = row;
    return { ...(others as unknown as NewCaptureRow), visit_id: textOrNull(row.visit_id) };
  }

  /** As they are on the disk, damaged ones too. */
  *chunks(captureId: string): Generator<Omit<ChunkRow, 'capture_no'>> {
    const read = this.#database.prepare(
      `SELECT chunk_no, bytes FROM capture_chunks
       WHERE capture_no = (SELECT capture_no FROM captures WHERE id = ?) AND chunk_no > ? ORDER BY chunk_no LIMIT ?`,
    );
    let last = -1;
    for (;;) {
      const rows = read.all(captureId, last, CHUNKS_PER_READ);
      if (rows.length === 0) return;
      for (const row of rows) {
        last = Number(row.chunk_no);
        yield { chunk_no: last, bytes: Buffer.from(row.bytes as Uint8Array) };
      }
    }
  }
}

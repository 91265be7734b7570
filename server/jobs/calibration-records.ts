import type { CalibrationKind } from '../../calibration/channel-calibration.ts';
import { readBoardCalibration } from '../../calibration/read-board-calibration.ts';
import type { SensorType } from '../../calibration/sensor-type.ts';
import type {
  CalibrationStore,
  EnteredSensor,
  NewCalibration,
  StoredCalibration,
  WholeCalibration,
} from './calibration-store.ts';
import { textOrNull } from './capture-rows.ts';
import type { SampleChunk } from './capture-store.ts';
import { decodeSampleChunk, encodeSampleChunk, MAX_CHUNK_SAMPLES } from './sample-chunk-codec.ts';
import type { SqliteDatabase, SqliteRow } from './sqlite-database.ts';

/** Calibrations in the database. Every call is done and on the disk when it returns. */
export class CalibrationRecords implements CalibrationStore {
  readonly #database: SqliteDatabase;
  readonly #newId: () => string;

  constructor(database: SqliteDatabase, newId: () => string) {
    this.#database = database;
    this.#newId = newId;
  }

  append(calibration: NewCalibration): string {
    const id = this.#newId();
    this.#insert({ ...calibration, id, chunks: piecesOf(calibration.samples) }, null);
    return id;
  }

  putImported(calibration: WholeCalibration, importedAtMs: number): void {
    if (this.get(calibration.id) === null) this.#insert(calibration, importedAtMs);
  }

  #insert({ id, board, chunks, ...calibration }: WholeCalibration, importedAtMs: number | null): void {
    this.#database.transaction(() => {
      this.#database
        .prepare(
          `INSERT INTO calibrations (id, board_id, kind, made_at_ms, technician, expires_at_ms, practice,
           software_version, board_json, evidence_json, imported_at_ms) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)`,
        )
        .run(
          id,
          board.boardId,
          calibration.kind,
          calibration.madeAtMs,
          calibration.technician,
          calibration.expiresAtMs,
          calibration.practice ? 1 : 0,
          calibration.softwareVersion,
          JSON.stringify(board),
          JSON.stringify(calibration.evidence),
          importedAtMs,
        );
      const insert = this.#database.prepare(
        `INSERT INTO calibration_chunks (calibration_no, chunk_no, bytes)
         SELECT calibration_no, ?, ? FROM calibrations WHERE id = ?`,
      );
      for (const [chunkNo, chunk] of chunks.entries()) insert.run(chunkNo, encodeSampleChunk(chunk), id);
    });
  }

  ofBoard(boardId: string, onUnreadable?: (id: string, reason: string) => void): StoredCalibration[] {
    return this.#database
      .prepare(
        'SELECT * FROM calibrations WHERE board_id = ? ORDER BY imported_at_ms IS NOT NULL, calibration_no DESC',
      )
      .all(boardId)
      .flatMap((row) => {
        const read = fromRow(row);
        if (read.ok) return [read.calibration];
        onUnreadable?.(String(row.id), read.reason);
        return [];
      });
  }

  get(id: string): StoredCalibration | null {
    const row = this.#database.prepare('SELECT * FROM calibrations WHERE id = ?').get(id);
    if (row === undefined) return null;
    const read = fromRow(row);
    return read.ok ? read.calibration : null;
  }

  boards(): string[] {
    return this.#database
      .prepare('SELECT DISTINCT board_id FROM calibrations ORDER BY board_id')
      .all()
      .map((row) => String(row.board_id));
  }

  samples(id: string): SampleChunk[] {
    return this.#database
      .prepare(
        `SELECT bytes FROM calibration_chunks JOIN calibrations USING (calibration_no)
         WHERE id = ? ORDER BY chunk_no`,
      )
      .all(id)
      .flatMap((row) => {
        const decoded = decodeSampleChunk(row.bytes as Uint8Array);
        return decoded.ok ? [decoded.chunk] : [];
      });
  }

  /** Of every board, in the order in which they were kept. */
  ids(): string[] {
    return this.#database
      .prepare('SELECT id FROM calibrations ORDER BY calibration_no')
      .all()
      .map((row) => String(row.id));
  }

  /** Boards of whose sensors something was entered, with the time of it [ms since 1970]. */
  boardsWithSensors(): { readonly boardId: string; readonly enteredAtMs: number }[] {
    return this.#database
      .prepare(
        'SELECT board_id, max(entered_at_ms) AS at FROM board_sensors GROUP BY board_id ORDER BY board_id',
      )
      .all()
      .map((row) => ({ boardId: String(row.board_id), enteredAtMs: Number(row.at) }));
  }

  sensors(boardId: string): EnteredSensor[] {
    return this.#database
      .prepare('SELECT * FROM board_sensors WHERE board_id = ? ORDER BY channel')
      .all(boardId)
      .map((row) => ({
        channel: Number(row.channel),
        type: row.type_json === null ? null : (JSON.parse(String(row.type_json)) as SensorType),
        serial: textOrNull(row.serial),
      }));
  }

  setSensors(boardId: string, sensors: readonly EnteredSensor[], enteredAtMs: number): void {
    this.#database.transaction(() => {
      this.#database.prepare('DELETE FROM board_sensors WHERE board_id = ?').run(boardId);
      const insert = this.#database.prepare(
        'INSERT INTO board_sensors (board_id, channel, type_json, serial, entered_at_ms) VALUES (?, ?, ?, ?, ?)',
      );
      for (const { channel, type, serial } of sensors)
        insert.run(boardId, channel, type === null ? null : JSON.stringify(type), serial, enteredAtMs);
    });
  }
}

function piecesOf({ timeTicks, counts }: SampleChunk): SampleChunk[] {
  const pieces: SampleChunk[] = [];
  for (let from = 0; from < timeTicks.length; from += MAX_CHUNK_SAMPLES) {
    const to = from + MAX_CHUNK_SAMPLES;
    pieces.push({
      timeTicks: timeTicks.slice(from, to),
      counts: counts.map((column) => column.slice(from, to)),
    });
  }
  return pieces;
}

type Read =
  | { readonly ok: true; readonly calibration: StoredCalibration }
  | { readonly ok: false; readonly reason: string };

function fromRow(row: SqliteRow): Read {
  const parsed = parsedJson(String(row.board_json));
  const read = readBoardCalibration(parsed);
  if (!read.ok) return read;
  if (read.board.boardId !== row.board_id) return { ok: false, reason: 'boardId: another in its column' };
  return {
    ok: true,
    calibration: {
      id: String(row.id),
      kind: row.kind as CalibrationKind,
      madeAtMs: Number(row.made_at_ms),
      technician: textOrNull(row.technician),
      expiresAtMs: row.expires_at_ms === null ? null : Number(row.expires_at_ms),
      practice: row.practice === 1,
      softwareVersion: String(row.software_version),
      board: read.board,
      evidence: parsedJson(String(row.evidence_json)),
    },
  };
}

function parsedJson(text: string): unknown {
  try {
    return JSON.parse(text);
  } catch {
    return null;
  }
}

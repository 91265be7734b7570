/**
 * Reads samples from a logger's CSV as its bytes come, in bounded memory.
 *
 * A header row; a first column `time_s`; then one column per cylinder, its header its name. The separator is a comma,
 * a semicolon or a tab, whichever the header has; beside a semicolon or a tab a decimal comma is understood. Empty
 * cells, `nan` and `null` are missing samples. Blank lines and lines that begin with # are passed over.
 */
import { MAX_CYLINDERS } from '../signal/engine-setup.ts';
import { csvNumber } from './csv-number.ts';

/** Longest line that is read [bytes]. */
export const LONGEST_LINE_BYTES = 65_536;
const TIME_COLUMN = 'time_s';
const SEPARATORS = [0x2c, 0x3b, 0x09] as const;
const NEWLINE = 0x0a;
const SPACE = 0x20;
const RETURN = 0x0d;
const COMMA = 0x2c;
const HASH = 0x23;
const BYTE_ORDER_MARK = [0xef, 0xbb, 0xbf] as const;

/** What is wrong with a file, for one line on standard error. Lines and columns count from 1. */
export class CsvError extends Error {
  readonly line: number;
  readonly column: number;

  constructor(line: number, column: number, what: string) {
    super(what);
    this.line = line;
    this.column = column;
  }
}

export class CsvSamples {
  /** Names of the cylinders, once the header is read. */
  names: readonly string[] = [];
  /** Rows handed out, and rows with a time equal to the one before, which are left out. */
  rows = 0;
  repeatedTimes = 0;
  readonly #onHeader: (names: readonly string[]) => void;
  readonly #onRow: (timeS: number, values: Float64Array) => void;
  #separator = COMMA;
  #line = 0;
  #values = new Float64Array(0);
  #lastTimeS = Number.NEGATIVE_INFINITY;
  #rest: Uint8Array = new Uint8Array(0);

  /** @param onRow gets the same array each time; NaN marks a missing sample */
  constructor(
    onHeader: (names: readonly string[]) => void,
    onRow: (timeS: number, values: Float64Array) => void,
  ) {
    this.#onHeader = onHeader;
    this.#onRow = onRow;
  }

  /** @throws CsvError at the first thing that cannot be read */
  push(chunk: Uint8Array): void {
    let bytes = chunk;
    if (this.#rest.length > 0) {
      bytes = new Uint8Array(this.#rest.length + chunk.length);
      bytes.set(this.#rest);
      bytes.set(chunk, this.#rest.length);
    }
    let start = 0;
    for (;;) {
      const end = bytes.indexOf(NEWLINE, start);
      if (end < 0) break;
      this.#readLine(bytes, start, end);
      start = end + 1;
    }
    if (bytes.length - start > LONGEST_LINE_BYTES) throw tooLong(this.#line + 1);
    this.#rest = bytes.slice(start);
  }

  /** The file ends. @throws CsvError also when there was no header or no sample at all */
  end(): void {
    if (this.#rest.length > 0) this.#readLine(this.#rest, 0, this.#rest.length);
    this.#rest = new Uint8Array(0);
    if (this.names.length === 0) {
      throw new CsvError(1, 1, `the file is empty; a header row beginning with ${TIME_COLUMN} is needed`);
    }
    if (this.rows === 0) throw new CsvError(this.#line + 1, 1, 'there is no sample after the header row');
  }

  #readLine(bytes: Uint8Array, start: number, to: number): void {
    this.#line++;
    let from = start;
    let end = to;
    if (this.#line === 1 && hasByteOrderMark(bytes, from)) from += BYTE_ORDER_MARK.length;
    while (end > from && (bytes[end - 1] === RETURN || bytes[end - 1] === SPACE)) end--;
    if (end === from || bytes[from] === HASH) return;
    if (end - from > LONGEST_LINE_BYTES) throw tooLong(this.#line);
    if (this.names.length === 0) this.#readHeader(bytes, from, end);
    else this.#readRow(bytes, from, end);
  }

  #readHeader(bytes: Uint8Array, from: number, to: number): void {
    const text = new TextDecoder().decode(bytes.subarray(from, to));
    // The separator is what follows the first name: later names may contain the others.
    const behindTime = /^\s*"?[^",;\t]*"?\s*([,;\t])/.exec(text)?.[1]?.charCodeAt(0);
    this.#separator = SEPARATORS.find((code) => code === behindTime) ?? COMMA;
    const cells = headerCells(text, String.fromCharCode(this.#separator));
    if (cells[0]?.toLowerCase() !== TIME_COLUMN) {
      throw new CsvError(
        this.#line,
        1,
        `the first column must be called ${TIME_COLUMN}, it is called '${shown(cells[0] ?? '')}'`,
      );
    }
    const names = cells.slice(1);
    if (names.length === 0)
      throw new CsvError(this.#line, 2, 'there is no column for a cylinder after the time');
    if (names.length > MAX_CYLINDERS) {
      throw new CsvError(
        this.#line,
        MAX_CYLINDERS + 2,
        `there are ${names.length} cylinders; at most ${MAX_CYLINDERS} can be read`,
      );
    }
    names.forEach((name, index) => {
      if (name === '') throw new CsvError(this.#line, index + 2, 'the column has no name');
      if (names.indexOf(name) !== index)
        throw new CsvError(this.#line, index + 2, `the name '${shown(name)}' stands twice`);
    });
    this.names = names;
    this.#values = new Float64Array(names.length);
    this.#onHeader(names);
  }

  #readRow(bytes: Uint8Array, from: number, to: number): void {
    const columns = this.names.length + 1;
    let column = 0;
    let start = from;
    let timeS = Number.NaN;
    for (let at = from; at <= to; at++) {
      if (at < to && bytes[at] !== this.#separator) continue;
      if (column >= columns) {
        throw new CsvError(this.#line, column + 1, `the row has more cells than the header's ${columns}`);
      }
      const value = csvNumber(bytes, start, at, this.#separator !== COMMA, column > 0);
      if (typeof value === 'string')
        throw new CsvError(this.#line, column + 1, `'${shown(value)}' is not a number`);
      if (column === 0) timeS = value;
      else this.#values[column - 1] = value;
      column++;
      start = at + 1;
    }
    if (column < columns) {
      throw new CsvError(this.#line, column + 1, `the row has ${column} cells, the header has ${columns}`);
    }
    if (Number.isNaN(timeS)) throw new CsvError(this.#line, 1, 'the time is missing');
    if (timeS < this.#lastTimeS)
      throw new CsvError(this.#line, 1, `the time goes back from ${this.#lastTimeS} to ${timeS}`);
    if (timeS === this.#lastTimeS) {
      this.repeatedTimes++;
      return;
    }
    this.#lastTimeS = timeS;
    this.rows++;
    this.#onRow(timeS, this.#values);
  }
}

function tooLong(line: number): CsvError {
  return new CsvError(line, 1, `the line is longer than ${LONGEST_LINE_BYTES} bytes; is this a CSV file?`);
}

/** Cells of the header; a quoted name may contain the separator. */
function headerCells(text: string, separator: string): string[] {
  const cells: string[] = [];
  let cell = '';
  let quoted = false;
  for (const letter of text) {
    if (letter === '"') quoted = !quoted;
    if (letter === separator && !quoted) {
      cells.push(unquoted(cell.trim()));
      cell = '';
    } else cell += letter;
  }
  cells.push(unquoted(cell.trim()));
  return cells;
}

function hasByteOrderMark(bytes: Uint8Array, from: number): boolean {
  return BYTE_ORDER_MARK.every((byte, index) => bytes[from + index] === byte);
}

function unquoted(cell: string): string {
  return cell.startsWith('"') && cell.endsWith('"') && cell.length > 1
    ? cell.slice(1, -1).replaceAll('""', '"')
    : cell;
}

/** Text from a file, short and without control characters, for a message. */
function shown(text: string): string {
  const clean = text.replace(/\p{Cc}/gu, '?');
  return clean.length > 40 ? `${clean.slice(0, 40)}...` : clean;
}

import { ReadlineParser } from '@serialport/parser-readline';

/** Each way in which bytes can fail to become a line; each has its own counter. */
export const SPLIT_DROPS = ['partial-first-line', 'endless-line', 'partial-last-line'] as const;
export type SplitDrop = (typeof SPLIT_DROPS)[number];

export interface LineHandlers {
  /** One whole line without its ending, one character per byte. */
  onLine(text: string): void;
  onDropped(reason: SplitDrop): void;
}

/** More bytes than this without a newline are no line of ours: twice the longest that the protocol allows. */
export const MAX_UNBROKEN_BYTES = 512;

const NEWLINE = 0x0a;

/**
 * Cuts the bytes of ONE opened stream into lines. Make a new one per open: the parser underneath keeps a half
 * line, and the half lines of two opens glued together can look whole. The line that was under way when the
 * port opened is dropped, so is one that was cut off at the end, and bytes without a newline are bounded
 * (at a wrong baud rate they would pile up and cost quadratic time).
 */
export class LineSplitter {
  readonly #handlers: LineHandlers;
  #parser: ReadlineParser;
  #bytesSinceNewline = 0;
  #skipping: 'first' | 'endless' | null = 'first';
  #ended = false;

  constructor(handlers: LineHandlers) {
    this.#handlers = handlers;
    this.#parser = this.#newParser();
  }

  push(chunk: Uint8Array): void {
    if (this.#ended) throw new Error('LineSplitter.push after end: make a new splitter per open');
    let bytes = chunk;
    while (bytes.length > 0) {
      const newline = bytes.indexOf(NEWLINE);
      const piece = newline < 0 ? bytes : bytes.subarray(0, newline + 1);
      bytes = newline < 0 ? bytes.subarray(bytes.length) : bytes.subarray(newline + 1);
      this.#take(piece, newline >= 0);
    }
  }

  /** The stream is over: what is left without a newline is half a line and is dropped. */
  end(): void {
    if (this.#ended) return;
    this.#ended = true;
    this.#parser.removeAllListeners('data');
    this.#parser.destroy();
    if (this.#skipping === null && this.#bytesSinceNewline > 0) this.#handlers.onDropped('partial-last-line');
  }

  #take(piece: Uint8Array, whole: boolean): void {
    if (this.#skipping !== null) {
      this.#skip(piece, whole, this.#skipping);
      return;
    }
    if (this.#bytesSinceNewline + piece.length > MAX_UNBROKEN_BYTES + 1) {
      this.#parser.removeAllListeners('data');
      this.#parser.destroy();
      this.#parser = this.#newParser();
      this.#bytesSinceNewline = 0;
      this.#handlers.onDropped('endless-line');
      this.#skipping = whole ? null : 'endless';
      return;
    }
    this.#bytesSinceNewline = whole ? 0 : this.#bytesSinceNewline + piece.length;
    this.#parser.write(piece);
  }

  /** Throws bytes away up to the next newline; an endless line is reported again each time it is too long. */
  #skip(piece: Uint8Array, whole: boolean, why: 'first' | 'endless'): void {
    this.#bytesSinceNewline += piece.length;
    if (whole) {
      const onlyNewline = this.#bytesSinceNewline === 1;
      this.#bytesSinceNewline = 0;
      this.#skipping = null;
      if (why === 'first' && !onlyNewline) this.#handlers.onDropped('partial-first-line');
      return;
    }
    if (this.#bytesSinceNewline > MAX_UNBROKEN_BYTES) {
      this.#bytesSinceNewline = 0;
      this.#skipping = 'endless';
      this.#handlers.onDropped('endless-line');
    }
  }

  #newParser(): ReadlineParser {
    const parser = new ReadlineParser({ delimiter: '\n', encoding: 'latin1' });
    parser.on('data', (text: string) => {
      const line = text.endsWith('\r') ? text.slice(0, -1) : text;
      if (line !== '') this.#handlers.onLine(line);
    });
    return parser;
  }
}

import { decodeLine } from '../../firmware-protocol/decode-line.ts';

/** Lines that a cable made, over all that were heard. */
export class AlteredLines {
  /** Lines that were heard and never sent. */
  count = 0;
  /** Those of them whose checksum fits all the same. */
  slipped = 0;
  /** Rows of counts in these. */
  readonly slippedRows = new Set<string>();
}

/**
 * Listens to one opened stream beside the service and tells lines that were sent from lines that the cable made. A
 * checksum of 16 bits fits one altered line in 65,536 by chance; no receiver can tell such a line from a true one.
 */
export class LineTap {
  readonly #sent: ReadonlySet<string>;
  readonly #altered: AlteredLines;
  #tail = '';

  constructor(sent: ReadonlySet<string>, altered: AlteredLines) {
    this.#sent = sent;
    this.#altered = altered;
  }

  heard(chunk: Uint8Array): void {
    const lines = (this.#tail + Buffer.from(chunk).toString('latin1')).split('\n');
    this.#tail = lines.pop()!;
    for (const line of lines) {
      if (line === '' || this.#sent.has(line)) continue;
      this.#altered.count++;
      const decoded = decodeLine(line);
      if (!decoded.ok) continue;
      this.#altered.slipped++;
      if (decoded.line.kind === 'sample') this.#altered.slippedRows.add(decoded.line.counts.join());
    }
  }
}

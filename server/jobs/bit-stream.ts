/** Writes numbers bit by bit, most significant bit first. */
export class BitWriter {
  #bytes = new Uint8Array(1024);
  #length = 0;
  #current = 0;
  #free = 8;

  /** @param width 0 … 53; `value` < 2^width */
  bits(value: number, width: number): void {
    let left = width;
    while (left > 0) {
      const take = Math.min(left, this.#free);
      left -= take;
      const piece = Math.floor(value / 2 ** left) % 2 ** take;
      this.#free -= take;
      this.#current |= piece << this.#free;
      if (this.#free === 0) this.#flush();
    }
  }

  /** Seven bits a byte, low ones first; the top bit says that more follow. */
  varint(value: number): void {
    let rest = value;
    while (rest >= 128) {
      this.bits((rest % 128) + 128, 8);
      rest = Math.floor(rest / 128);
    }
    this.bits(rest, 8);
  }

  /** Six bits for the width, then as many bits. */
  long(value: number): void {
    const width = BitWriter.longBits(value) - 6;
    this.bits(width, 6);
    this.bits(value, width);
  }

  static longBits(value: number): number {
    let width = 0;
    while (2 ** width <= value) width++;
    return 6 + width;
  }

  /** Pads the last byte with zeros. */
  finish(): Uint8Array {
    if (this.#free < 8) this.#flush();
    return this.#bytes.slice(0, this.#length);
  }

  #flush(): void {
    if (this.#length === this.#bytes.length) {
      const larger = new Uint8Array(this.#bytes.length * 2);
      larger.set(this.#bytes);
      this.#bytes = larger;
    }
    this.#bytes[this.#length++] = this.#current;
    this.#current = 0;
    this.#free = 8;
  }
}

/** Reads what `BitWriter` wrote. Past the end it reads zeros and says so in `ranOut`. */
export class BitReader {
  readonly #bytes: Uint8Array;
  #at = 0;
  #bit = 0;
  ranOut = false;

  constructor(bytes: Uint8Array) {
    this.#bytes = bytes;
  }

  /** @param width 0 … 53 */
  bits(width: number): number {
    let value = 0;
    let left = width;
    while (left > 0) {
      const byte = this.#bytes[this.#at];
      if (byte === undefined) {
        this.ranOut = true;
        return 0;
      }
      const take = Math.min(left, 8 - this.#bit);
      value = value * 2 ** take + ((byte >> (8 - this.#bit - take)) & (2 ** take - 1));
      left -= take;
      this.#bit += take;
      if (this.#bit === 8) {
        this.#bit = 0;
        this.#at++;
      }
    }
    return value;
  }

  varint(): number {
    let value = 0;
    for (let shift = 0; shift < 49; shift += 7) {
      const byte = this.bits(8);
      value += (byte % 128) * 2 ** shift;
      if (byte < 128) return value;
    }
    this.ranOut = true;
    return 0;
  }

  long(): number {
    const width = this.bits(6);
    if (width > 53) {
      this.ranOut = true;
      return 0;
    }
    return this.bits(width);
  }
}

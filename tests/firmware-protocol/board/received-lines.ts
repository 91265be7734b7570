import { decodeLine } from '../../../firmware-protocol/decode-line.ts';
import type { BoardLine, IdentityLine, NoticeLine, SampleLine } from '../../../firmware-protocol/lines.ts';
import { BadLineCounters } from './bad-line-counters.ts';

/** What came off the wire: bytes cut into lines and taken through the real codec. */
export class ReceivedLines {
  readonly lines: BoardLine[] = [];
  /** Time [s] at which the last byte of each line arrived. */
  readonly timesS: number[] = [];
  readonly bad = new BadLineCounters();
  readonly badTexts: string[] = [];
  bytes = 0;
  #text = '';

  readonly onByte = (byte: number, timeS: number): void => {
    this.bytes++;
    if (byte !== LINE_FEED) {
      this.#text += String.fromCharCode(byte);
      return;
    }
    const text = this.#text;
    this.#text = '';
    if (text === '' || text === '\r') return;
    const decoded = decodeLine(text);
    if (decoded.ok) {
      this.lines.push(decoded.line);
      this.timesS.push(timeS);
    } else {
      this.bad.count(decoded.reason);
      this.badTexts.push(text);
    }
  };

  get samples(): SampleLine[] {
    return this.lines.filter((line) => line.kind === 'sample');
  }

  get identities(): IdentityLine[] {
    return this.lines.filter((line) => line.kind === 'identity');
  }

  get notices(): NoticeLine[] {
    return this.lines.filter((line) => line.kind === 'notice');
  }

  /** Forgets what has come, but not half a line. */
  clear(): void {
    this.lines.length = 0;
    this.timesS.length = 0;
    this.bytes = 0;
  }
}

const LINE_FEED = 0x0a;

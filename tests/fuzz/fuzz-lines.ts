import { isDeepStrictEqual } from 'node:util';
import { crc16Hex } from '../../firmware-protocol/crc16.ts';
import { decodeCommand } from '../../firmware-protocol/decode-command.ts';
import { decodeLine } from '../../firmware-protocol/decode-line.ts';
import { encodeLine } from '../../firmware-protocol/encode-line.ts';
import { BAD_LINE_REASONS } from '../../firmware-protocol/lines.ts';
import { LineSplitter, MAX_UNBROKEN_BYTES } from '../../server/board/line-splitter.ts';
import { type SeededRandom, seededRandom } from '../engines/seeded-random.ts';
import { type FuzzReport, FuzzTally } from './fuzz-report.ts';
import { mutated, pieces } from './mutations.ts';

const REASONS: ReadonlySet<string> = new Set(BAD_LINE_REASONS);

/** Lines of every kind, at their limits and of other protocols. */
export const LINE_CORPUS: readonly string[] = [
  'S,0,0,0',
  'S,7,28000,2731,2745',
  'S,65535,4294967295,16777215,0,1023,512,1,2,3,4',
  'I,1,bench-1,1.0.0,500,1000000,100,1023,MPX4115A,MPX4115A',
  'I,1,A,1,4000,100000000,0,1,unknown,unknown,unknown,unknown,unknown,unknown,unknown,unknown',
  'I,2,new,9,1,1000,0,1,x',
  'A,101325,2150',
  'A,,',
  'A,30000,-4000',
  'N,overflow,1',
  'N,adc-fault,65535',
  'i',
  's',
  'r,500',
  '',
];

/** The codec answers a line or a reason, never throws, and what it takes it gives back the same. */
export function fuzzCodec(inputs: number, seed: number): FuzzReport {
  const random = seededRandom(seed, 301);
  const tally = new FuzzTally();
  for (; tally.inputs < inputs; tally.inputs++) {
    const body = mutated(LINE_CORPUS[random.index(LINE_CORPUS.length)]!, LINE_CORPUS, random);
    // Most are sealed, so that what is behind the checksum is reached.
    const sealed = random.uniform() < 0.8 ? `${body}*${crc16Hex(body)}` : body;
    const text = random.uniform() < 0.1 ? mutated(sealed, LINE_CORPUS, random) : sealed;
    try {
      const decoded = decodeLine(text);
      const command = decodeCommand(text);
      if (typeof command.ok !== 'boolean') tally.fail('a command is neither', text);
      if (!decoded.ok) {
        if (!REASONS.has(decoded.reason)) tally.fail(`an unknown reason ${decoded.reason}`, text);
        continue;
      }
      tally.taken++;
      const again = decodeLine(encodeLine(decoded.line));
      if (!again.ok || !isDeepStrictEqual(again.line, decoded.line))
        tally.fail('another line comes back', text);
    } catch (error) {
      tally.fail(String(error), text);
    }
  }
  return tally;
}

/** However a stream is cut into chunks it has the same lines and drops, and no line is longer than the bound. */
export function fuzzSplitter(inputs: number, seed: number): FuzzReport {
  const random = seededRandom(seed, 302);
  const tally = new FuzzTally();
  for (; tally.inputs < inputs; tally.inputs++) {
    const stream = Buffer.from(streamText(random), 'latin1');
    try {
      const whole = split([stream]);
      const cut = split(pieces(stream, random));
      if (!isDeepStrictEqual(whole.lines, cut.lines)) tally.fail('other lines from other chunks', stream);
      if (whole.lines.some((line) => line.length > MAX_UNBROKEN_BYTES || line.includes('\n')))
        tally.fail('a line beyond its bound', stream);
      if (whole.lines.length > 0) tally.taken++;
    } catch (error) {
      tally.fail(String(error), stream);
    }
  }
  return tally;
}

function streamText(random: SeededRandom): string {
  let text = '';
  for (let lines = random.index(8); lines >= 0; lines--) {
    const line = LINE_CORPUS[random.index(LINE_CORPUS.length)]!;
    text += random.uniform() < 0.1 ? line.padEnd(random.index(1_400), 'x') : line;
    text += random.uniform() < 0.9 ? '\n' : '';
  }
  return random.uniform() < 0.5 ? mutated(text, LINE_CORPUS, random) : text;
}

function split(chunks: readonly Uint8Array[]): { lines: string[]; drops: string[] } {
  const lines: string[] = [];
  const drops: string[] = [];
  const splitter = new LineSplitter({
    onLine: (text) => lines.push(text),
    onDropped: (reason) => drops.push(reason),
  });
  for (const chunk of chunks) splitter.push(chunk);
  splitter.end();
  return { lines, drops };
}

import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { LineSplitter, MAX_UNBROKEN_BYTES, type SplitDrop } from '../../../server/board/line-splitter.ts';

interface Heard {
  lines: string[];
  drops: SplitDrop[];
}

function hear(chunks: readonly (string | Uint8Array)[], end = true): Heard {
  const heard: Heard = { lines: [], drops: [] };
  const splitter = new LineSplitter({
    onLine: (text) => heard.lines.push(text),
    onDropped: (reason) => heard.drops.push(reason),
  });
  for (const chunk of chunks) splitter.push(typeof chunk === 'string' ? Buffer.from(chunk, 'latin1') : chunk);
  if (end) splitter.end();
  return heard;
}

const STREAM = 'lf a line\none\r\ntwo\n\nthree\nhal';
const WHOLE: Heard = {
  lines: ['one', 'two', 'three'],
  drops: ['partial-first-line', 'partial-last-line'],
};

describe('LineSplitter', () => {
  test('gives the same lines wherever the bytes are cut', () => {
    for (let cut = 0; cut <= STREAM.length; cut++) {
      expect(hear([STREAM.slice(0, cut), STREAM.slice(cut)]), `cut at ${cut}`).toEqual(WHOLE);
    }
    expect(hear([...STREAM])).toEqual(WHOLE);
  });

  test('drops the line that was under way when the port opened, and the one cut off at the end', () => {
    expect(hear(['S,1,2', ',3*ABCD\nI,1*0000\nS,9'])).toEqual({
      lines: ['I,1*0000'],
      drops: ['partial-first-line', 'partial-last-line'],
    });
  });

  test('a newline right at the start means that the first line is whole', () => {
    expect(hear(['\nfirst\n'])).toEqual({ lines: ['first'], drops: [] });
  });

  test('two opens never glue their halves together', () => {
    const halves = ['\nS,1,100,27', '31,2745*C559\nS,2,200,1*0000\n'];
    const heard = halves.map((half) => hear([half]));
    expect(heard.flatMap(({ lines }) => lines)).toEqual(['S,2,200,1*0000']);
    expect(heard.flatMap(({ drops }) => drops)).toEqual(['partial-last-line', 'partial-first-line']);
  });

  test('bytes without a newline are bounded, reported, and the next whole line is heard again', () => {
    const heard = hear(['\nok\n', 'x'.repeat(MAX_UNBROKEN_BYTES + 2), 'yyy\nagain\n']);
    expect(heard).toEqual({ lines: ['ok', 'again'], drops: ['endless-line'] });
  });

  test('a line of exactly the bound still passes, however it is cut', () => {
    const longest = 'z'.repeat(MAX_UNBROKEN_BYTES);
    expect(hear([`\n${longest}\n`]).lines).toEqual([longest]);
    expect(hear(['\n', longest, '\n']).lines).toEqual([longest]);
  });

  test('a megabyte without a newline is reported again and again, so that a wrong speed shows at once', () => {
    const heard = hear(Array.from({ length: 1024 }, () => Buffer.alloc(1024, 0xff)));
    expect(heard.lines).toEqual([]);
    expect(heard.drops.length).toBeGreaterThan(500);
    expect(new Set(heard.drops)).toEqual(new Set(['endless-line']));
  });

  test('every byte arrives as one character, so that noise cannot become another length', () => {
    const noise = Uint8Array.from([0x0a, 0x00, 0x80, 0xc3, 0xa9, 0xff, 0x0a]);
    expect(hear([noise]).lines).toEqual(['\u0000\u0080Ã©ÿ']);
  });

  test('using it for a second open is a mistake that throws', () => {
    const splitter = new LineSplitter({ onLine() {}, onDropped() {} });
    splitter.end();
    splitter.end();
    expect(() => splitter.push(Buffer.from('x'))).toThrow(/per open/);
  });

  const SEED = 20_251;
  test(`random bytes in random chunks: lines are what a plain split gives (seed ${SEED})`, () => {
    fc.assert(
      fc.property(fc.array(fc.uint8Array({ maxLength: 60 }), { maxLength: 30 }), (chunks) => {
        const text = Buffer.concat(chunks).toString('latin1');
        const pieces = text.split('\n');
        const expected = pieces
          .slice(1, -1)
          .map((piece) => (piece.endsWith('\r') ? piece.slice(0, -1) : piece))
          .filter((piece) => piece !== '' && piece.length <= MAX_UNBROKEN_BYTES);
        fc.pre(pieces.every((piece) => piece.length <= MAX_UNBROKEN_BYTES));
        expect(hear(chunks).lines).toEqual(expected);
      }),
      { seed: SEED, numRuns: 500 },
    );
  });
});

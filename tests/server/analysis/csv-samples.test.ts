import { setFlagsFromString } from 'node:v8';
import { runInNewContext } from 'node:vm';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { CsvError, CsvSamples, LONGEST_LINE_BYTES } from '../../../server/analysis/csv-samples.ts';
import { engineCsv } from '../../engines/engine-csv.ts';
import { seededRandom } from '../../engines/seeded-random.ts';

const SEED = 141;

interface Read {
  readonly names: readonly string[];
  readonly rows: number[][];
  readonly repeatedTimes: number;
}

/** The engine's own collector, which is otherwise only there with a flag at the start of the process. */
function collectGarbage(): void {
  setFlagsFromString('--expose-gc');
  (runInNewContext('gc') as () => void)();
}

const bytesOf = (text: string): Uint8Array => new TextEncoder().encode(text);

function readFrom(chunks: Iterable<Uint8Array>): Read {
  const rows: number[][] = [];
  let headers = 0;
  const csv = new CsvSamples(
    (names) => {
      expect(++headers).toBe(1);
      expect(names).toEqual(csv.names);
    },
    (timeS, values) => rows.push([timeS, ...values]),
  );
  for (const chunk of chunks) csv.push(chunk);
  csv.end();
  expect(csv.rows).toBe(rows.length);
  return { names: csv.names, rows, repeatedTimes: csv.repeatedTimes };
}

const read = (text: string): Read => readFrom([bytesOf(text)]);

function failure(text: string): { line: number; column: number; message: string } {
  try {
    read(text);
  } catch (error) {
    if (error instanceof CsvError) return { line: error.line, column: error.column, message: error.message };
    throw error;
  }
  throw new Error('It was read without an error');
}

const PLAIN = 'time_s,left,right\n0,50,60\n0.002,51.5,61\n0.004,52,62.25\n';
const PLAIN_ROWS = [
  [0, 50, 60],
  [0.002, 51.5, 61],
  [0.004, 52, 62.25],
];
const MISSING = Number.NaN;

describe('a file that can be read', () => {
  it.each<[string, string, number[][]]>([
    ['commas and points', PLAIN, PLAIN_ROWS],
    ['semicolons', PLAIN.replaceAll(',', ';'), PLAIN_ROWS],
    ['semicolons and decimal commas', PLAIN.replaceAll(',', ';').replaceAll('.', ','), PLAIN_ROWS],
    ['tabs', PLAIN.replaceAll(',', '\t'), PLAIN_ROWS],
    ['tabs and decimal commas', PLAIN.replaceAll(',', '\t').replaceAll('.', ','), PLAIN_ROWS],
    ['carriage returns', PLAIN.replaceAll('\n', '\r\n'), PLAIN_ROWS],
    ['a byte-order mark', `\uFEFF${PLAIN}`, PLAIN_ROWS],
    ['no newline at the end', PLAIN.slice(0, -1), PLAIN_ROWS],
    ['blank lines', `\n\n${PLAIN.replaceAll('\n', '\n\n')}   \n`, PLAIN_ROWS],
    ['blank lines between carriage returns', PLAIN.replaceAll('\n', '\r\n\r\n'), PLAIN_ROWS],
    [
      'comments before, between and after',
      `# logger 3\n${PLAIN.replaceAll('\n', '\n# remark, 3\n')}`,
      PLAIN_ROWS,
    ],
    ['spaces round the cells', PLAIN.replaceAll(',', ' , '), PLAIN_ROWS],
    ['quoted names', PLAIN.replace('left,right', '"left","right"'), PLAIN_ROWS],
    ['quoted numbers', PLAIN.replace('51.5,61', '"51.5","61"'), PLAIN_ROWS],
    ['a time column in capitals', PLAIN.replace('time_s', 'TIME_S'), PLAIN_ROWS],
  ])('with %s', (_, text, rows) => {
    const found = read(text);
    expect(found.rows).toEqual(rows);
    expect(found.names).toEqual(['left', 'right']);
  });

  it.each(['', ' ', 'nan', 'NaN', 'NAN', 'null', 'NA', '-', '""'])(
    'with the cell %j as a missing sample',
    (cell) => {
      const { rows } = read(`time_s,a,b\n0,${cell},60\n0.1,50,${cell}\n`);
      expect(rows).toEqual([
        [0, MISSING, 60],
        [0.1, 50, MISSING],
      ]);
    },
  );

  it.each<[string, number]>([
    ['50', 50],
    ['+50', 50],
    ['-0.25', -0.25],
    ['.5', 0.5],
    ['5.', 5],
    ['0050.50', 50.5],
    ['5e1', 50],
    ['5.05E+01', 50.5],
    ['5000e-2', 50],
    ['101.32500000000000001', 101.325],
    ['0.1234567890123456789', 0.12345678901234568],
    ['123456789012345678', 123456789012345680],
  ])('with the number %s', (text, value) => {
    expect(read(`time_s,a\n0,${text}\n`).rows).toEqual([[0, value]]);
  });

  it(`with plain decimals exactly as the language reads them (seed ${SEED})`, () => {
    const digits = (most: number) => fc.stringMatching(new RegExp(`^[0-9]{1,${most}}$`));
    fc.assert(
      fc.property(fc.constantFrom('', '-', '+'), digits(12), digits(12), (sign, whole, part) => {
        const text = `${sign}${whole}.${part}`;
        expect(read(`time_s,a\n0,${text}\n`).rows[0]![1]).toBe(Number(text));
        expect(read(`time_s;a\n0;${text.replace('.', ',')}\n`).rows[0]![1]).toBe(Number(text));
      }),
      { seed: SEED, numRuns: 300 },
    );
  });

  it.each([1, 2, 3, 4, 5, 6, 7, 8])('with %i cylinders', (cylinders) => {
    const names = Array.from({ length: cylinders }, (_, index) => `cyl ${index + 1}`);
    const kpa = names.map((_, index) => 40 + index);
    const found = read(`time_s,${names}\n1,${kpa}\n2,${kpa}\n`);
    expect(found.names).toEqual(names);
    expect(found.rows).toEqual([
      [1, ...kpa],
      [2, ...kpa],
    ]);
  });

  it('with names in any script, and quotes in them', () => {
    expect(read('time_s,vorn,zadní,"5"" pipe",右\n0,1,2,3,4\n').names).toEqual([
      'vorn',
      'zadní',
      '5" pipe',
      '右',
    ]);
  });

  it('with repeated times: the first row of each counts, the others are counted', () => {
    const found = read('time_s,a\n0,50\n0,51\n0.1,52\n0.1,53\n0.1,54\n0.2,55\n');
    expect(found.rows).toEqual([
      [0, 50],
      [0.1, 52],
      [0.2, 55],
    ]);
    expect(found.repeatedTimes).toBe(3);
  });

  it('with a time that begins anywhere, also below zero', () => {
    expect(read('time_s,a\n-5,50\n-4.5,51\n1e9,52\n').rows.map(([timeS]) => timeS)).toEqual([-5, -4.5, 1e9]);
  });
});

describe('a file that cannot be read names the line and the column', () => {
  it.each<[string, string, number, number, RegExp]>([
    ['nothing at all', '', 1, 1, /empty.*time_s/],
    ['only blanks and comments', '\n# only a remark\n\n', 1, 1, /empty/],
    ['only a header', 'time_s,a\n', 2, 1, /no sample/],
    ['a header and remarks', 'time_s,a\n# one\n# two\n', 4, 1, /no sample/],
    ['another first column', 'ms,a\n0,50\n', 1, 1, /time_s.*'ms'/],
    ['no header', '0,50\n0.1,51\n', 1, 1, /time_s.*'0'/],
    ['a header after two remarks', '# one\n# two\nzeit,a\n', 3, 1, /'zeit'/],
    ['no cylinder', 'time_s\n0\n', 1, 2, /no column for a cylinder/],
    ['nine cylinders', 'time_s,1,2,3,4,5,6,7,8,9\n', 1, 10, /9 cylinders; at most 8/],
    ['a column without a name', 'time_s,a,,c\n', 1, 3, /no name/],
    ['the same name twice', 'time_s,a,b,a\n', 1, 4, /'a' stands twice/],
    ['a word for a number', 'time_s,a,b\n0,50,60\n1,fifty,61\n', 3, 2, /'fifty' is not a number/],
    ['a word for a time', 'time_s,a\n0,50\nlater,51\n', 3, 1, /'later' is not a number/],
    ['a missing time', 'time_s,a\n0,50\n,51\n', 3, 1, /time is missing/],
    ['a time that is nan', 'time_s,a\nnan,51\n', 2, 1, /'nan' is not a number/],
    ['an infinite pressure', 'time_s,a,b\n0,50,inf\n', 2, 3, /'inf' is not a number/],
    ['a number without bounds', 'time_s,a\n0,1e999\n', 2, 2, /not a number/],
    ['a hexadecimal number', 'time_s,a\n0,0x1F\n', 2, 2, /'0x1F' is not a number/],
    ['two points', 'time_s,a\n0,5.0.1\n', 2, 2, /'5.0.1' is not a number/],
    ['a space for thousands', 'time_s,a\n0,1 000\n', 2, 2, /'1 000' is not a number/],
    ['only a sign', 'time_s,a\n0,+\n', 2, 2, /'\+' is not a number/],
    ['half an exponent', 'time_s,a\n0,5e\n', 2, 2, /'5e' is not a number/],
    ['a decimal comma between commas', 'time_s,a\n0,50,5\n', 2, 3, /more cells than the header's 2/],
    ['a cell too many', 'time_s,a,b\n0,50,60\n1,51,61,7\n', 3, 4, /more cells than the header's 3/],
    ['a cell too few', 'time_s,a,b\n0,50,60\n1,51\n', 3, 3, /2 cells, the header has 3/],
    ['a time that goes back', 'time_s,a\n0,50\n0.5,51\n0.4,52\n', 4, 1, /goes back from 0.5 to 0.4/],
    ['an error after blanks and remarks', '\n#\ntime_s,a\n\n#\n0,x\n', 6, 2, /'x' is not a number/],
    ['an error behind carriage returns', 'time_s,a\r\n0,50\r\n1,x\r\n', 3, 2, /'x' is not a number/],
    ['an error in the last line without a newline', 'time_s,a\n0,50\n1,x', 3, 2, /'x' is not a number/],
  ])('%s', (_, text, line, column, message) => {
    const found = failure(text);
    expect(found).toMatchObject({ line, column });
    expect(found.message).toMatch(message);
    expect(found.message).not.toMatch(/\n/);
  });

  it('rubbish is shown short and without control characters', () => {
    const { message } = failure(`time_s,a\n0,\u0007${'x'.repeat(500)}\n`);
    expect(message.length).toBeLessThan(80);
    // biome-ignore lint/suspicious/noControlCharactersInRegex: that is what must not be in it
    expect(message).not.toMatch(/[\u0000-\u001f]/);
  });

  it('bytes that are no text at all give one error, not a crash', () => {
    const random = seededRandom(SEED, 1);
    for (let file = 0; file < 50; file++) {
      const bytes = Uint8Array.from({ length: 2000 }, () => random.index(256));
      expect(() => readFrom([bytes])).toThrow(CsvError);
    }
  });
});

describe('a line without an end', () => {
  const long = 'x'.repeat(LONGEST_LINE_BYTES + 1);

  it('is refused as soon as it is too long, whatever its pieces', () => {
    expect(failure(`time_s,a\n0,50\n${long}`)).toMatchObject({ line: 3, column: 1 });
    expect(failure(`time_s,a\n0,50\n${long}\n1,51\n`)).toMatchObject({ line: 3, column: 1 });
    const csv = new CsvSamples(
      () => {},
      () => {},
    );
    csv.push(bytesOf('time_s,a\n'));
    const piece = bytesOf('7'.repeat(4096));
    let taken = 0;
    expect(() => {
      for (; taken < 1000; taken++) csv.push(piece);
    }).toThrow(/longer than 65536 bytes/);
    expect(taken * piece.length).toBeLessThanOrEqual(LONGEST_LINE_BYTES);
  });

  it('of just the longest length is read', () => {
    const spaces = ' '.repeat(LONGEST_LINE_BYTES - 4);
    expect(read(`time_s,a\n0,${spaces}50\n`).rows).toEqual([[0, 50]]);
  });

  it('that was read is not remembered: 16 MB of rows leave less than 5 MB behind', async () => {
    // Rows of a time that does not move on are read and left out, so one block serves again and again, as a copy.
    const block = bytesOf('1.000,50.125,60.25\n'.repeat(12_000).slice(0, -7));
    const rest = bytesOf(',60.25\n');
    const csv = new CsvSamples(
      () => {},
      () => {},
    );
    csv.push(bytesOf('time_s,a,b\n'));
    const retained = (): number => {
      collectGarbage();
      const { heapUsed, arrayBuffers } = process.memoryUsage();
      return heapUsed + arrayBuffers;
    };
    const before = retained();
    for (let bytes = 0; bytes < 16e6; bytes += block.length) {
      csv.push(block.slice());
      csv.push(rest);
    }
    // The collector gives the copies back in the background, so it is asked more than once.
    await expect.poll(() => retained() - before, { timeout: 20_000 }).toBeLessThan(5e6);
    csv.end();
    expect(csv.rows).toBe(1);
    expect(csv.repeatedTimes).toBeGreaterThan(8e5);
  });
});

describe(`cut into pieces anywhere, seed ${SEED}`, () => {
  const random = seededRandom(SEED, 2);
  const timeS = Float64Array.from({ length: 14 }, (_, row) => row / 500);
  const kpa = [0, 1, 2].map(() => timeS.map(() => random.between(30, 100)));
  const FILES = [
    engineCsv({ timeS, kpa }, { blankShare: 0.1, preamble: ['# logger 3', ''] }),
    engineCsv({ timeS, kpa }, { separator: ';', decimalComma: true, lineEnd: '\r\n' }),
    `\uFEFF${engineCsv({ timeS, kpa }, { separator: '\t' }).slice(0, -1)}`,
    'time_s,zadní,"5"" pipe"\n0,1e1,nan\n\n# räst\n0,2,3\n0.1,,-4.5\n',
  ];

  it.each(FILES.map((text, index) => [index + 1, text] as const))(
    'file %i gives the same rows',
    (_, text) => {
      const bytes = bytesOf(text);
      const whole = readFrom([bytes]);
      expect(whole.rows.length).toBeGreaterThan(1);
      for (let at = 0; at <= bytes.length; at++) {
        const cut = readFrom([bytes.subarray(0, at), bytes.subarray(at)]);
        expect(cut).toEqual(whole);
      }
      expect(readFrom(Array.from(bytes, (byte) => Uint8Array.of(byte)))).toEqual(whole);
      fc.assert(
        fc.property(fc.array(fc.nat({ max: bytes.length }), { maxLength: 20 }), (places) => {
          const cuts = [0, ...places.sort((a, b) => a - b), bytes.length];
          const pieces = cuts.slice(1).map((to, piece) => bytes.subarray(cuts[piece]!, to));
          expect(readFrom(pieces)).toEqual(whole);
        }),
        { seed: SEED, numRuns: 50 },
      );
    },
  );

  it('and the piece may be written over by its owner as soon as it was taken', () => {
    const bytes = bytesOf(FILES[1]!);
    const whole = readFrom([bytes]);
    const buffer = new Uint8Array(7);
    function* reusing(): Generator<Uint8Array> {
      for (let at = 0; at < bytes.length; at += buffer.length) {
        const piece = bytes.subarray(at, at + buffer.length);
        buffer.fill(0x58);
        buffer.set(piece);
        yield buffer.subarray(0, piece.length);
      }
    }
    expect(readFrom(reusing())).toEqual(whole);
  });

  it('an error has the same place in it', () => {
    const bytes = bytesOf('# one\ntime_s,a,b\r\n0,50,60\r\n\r\n1,51,sixty\r\n');
    for (let at = 0; at <= bytes.length; at++) {
      let thrown: unknown;
      try {
        readFrom([bytes.subarray(0, at), bytes.subarray(at)]);
      } catch (error) {
        thrown = error;
      }
      expect(thrown).toMatchObject({ line: 5, column: 3, message: "'sixty' is not a number" });
    }
  });
});

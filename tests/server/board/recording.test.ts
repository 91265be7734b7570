import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { encodeLine } from '../../../firmware-protocol/encode-line.ts';
import type { ByteSource, ByteStreamHandlers } from '../../../server/board/byte-source.ts';
import { formatChunk, parseChunk, RECORDING_HEADER } from '../../../server/board/recording.ts';
import { RecordingFile, RecordingSource } from '../../../server/board/recording-source.ts';
import { ReplaySource } from '../../../server/board/replay-source.ts';
import { systemClock } from '../../../server/clock.ts';
import { HeardLink } from './heard-link.ts';
import { countsFor, TEST_IDENTITY, until } from './scripted-board.ts';

let folder = '';
beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), 'idlewright-recording-'));
});
afterAll(() => rmSync(folder, { recursive: true }));

const sample = (sequence: number) =>
  encodeLine({ kind: 'sample', sequence, timeTicks: sequence * 5_000, counts: countsFor(sequence, 2) });

describe('a recording of a board', () => {
  test('keeps every byte value and the time to a tenth of a millisecond', () => {
    const bytes = Uint8Array.from({ length: 256 }, (_, byte) => byte);
    const line = formatChunk(12_345.67, bytes);
    expect(line.endsWith('\n')).toBe(true);
    expect(parseChunk(line.trimEnd())).toEqual({ atMs: 12_345.7, bytes: Buffer.from(bytes) });
  });

  test('base64 is that of RFC 4648', () => {
    // The RFC's own test vectors, section 10.
    for (const [text, coded] of [
      ['f', 'Zg=='],
      ['fo', 'Zm8='],
      ['foobar', 'Zm9vYmFy'],
    ] as const) {
      expect(formatChunk(0, Buffer.from(text))).toBe(`0.0 ${coded}\n`);
    }
  });

  test.each(['', 'rubbish', '12 Zg', '-1 Zg==', '1 Z g=', '1  Zg=='])(
    'a line such as "%s" is left out',
    (line) => {
      expect(parseChunk(line)).toBeNull();
    },
  );

  test('what was recorded is played back: the same lines, the link ends with the recording', async () => {
    const file = join(folder, 'monday.recording');
    let handlers: ByteStreamHandlers | null = null;
    const board: ByteSource = {
      kind: 'serial',
      address: 'serial:test',
      open: async (given) => {
        handlers = given;
        return { ok: true, stream: { write() {}, close: async () => {} } };
      },
    };
    const recorder = new RecordingSource(board, new RecordingFile(file, systemClock, () => {}));
    expect(recorder).toMatchObject({ kind: 'serial', address: 'serial:test' });
    const live = new HeardLink(recorder);
    live.runner.start();
    await until('open', () => handlers !== null);
    const say = (text: string) => handlers?.onBytes(Buffer.from(text, 'latin1'));
    say(`alf a line\n${encodeLine(TEST_IDENTITY)}`);
    for (let n = 1; n <= 20; n++) {
      say(sample(n));
      await new Promise((resolve) => setTimeout(resolve, 5));
    }
    await live.runner.stop();
    await until('written', () => readFileSync(file, 'utf8').split('\n').length >= 22);

    const played = new HeardLink(new ReplaySource(file, systemClock));
    const startedMs = performance.now();
    played.runner.start();
    await until('over', () => played.state.phase === 'ended');
    expect(performance.now() - startedMs).toBeGreaterThan(80);
    expect(played.identities).toEqual([TEST_IDENTITY]);
    expect(played.samples).toEqual(live.samples);
    expect(played.state.errorCode).toBe('source-ended');
    await played.runner.stop();
  });

  test('a cut-off last line costs only itself', async () => {
    const file = join(folder, 'cut.recording');
    const whole = formatChunk(0, Buffer.from(encodeLine(TEST_IDENTITY) + sample(1)));
    writeFileSync(
      file,
      `${RECORDING_HEADER}\n${whole}${formatChunk(1, Buffer.from(sample(2))).slice(0, -6)}`,
    );
    const link = new HeardLink(new ReplaySource(file, systemClock));
    link.runner.start();
    await until('over', () => link.state.phase === 'ended');
    expect(link.samples.map(({ sequence }) => sequence)).toEqual([1]);
    await link.runner.stop();
  });

  test('a missing file and one of another kind are told apart', async () => {
    const other = join(folder, 'letter.txt');
    writeFileSync(other, 'Dear customer');
    for (const [file, code] of [
      [join(folder, 'missing'), 'source-not-found'],
      [other, 'source-failed'],
    ] as const) {
      const link = new HeardLink(new ReplaySource(file, systemClock));
      link.runner.start();
      await until('told', () => link.state.errorCode !== null);
      expect(link.state.errorCode).toBe(code);
      await link.runner.stop();
    }
  });

  test('a recording that cannot be written troubles nobody but is told once', async () => {
    const troubles: string[] = [];
    const board: ByteSource = {
      kind: 'serial',
      address: 'serial:test',
      open: async (handlers) => {
        handlers.onBytes(Buffer.from(`\n${encodeLine(TEST_IDENTITY)}${sample(1)}`));
        return { ok: true, stream: { write() {}, close: async () => {} } };
      },
    };
    const file = join(folder, 'no-such-folder', 'x');
    const link = new HeardLink(
      new RecordingSource(board, new RecordingFile(file, systemClock, (text) => troubles.push(text))),
    );
    link.runner.start();
    await until('told', () => troubles.length > 0);
    expect(troubles).toHaveLength(1);
    expect(link.counters.opens).toBe(1);
    await link.runner.stop();
  });
});

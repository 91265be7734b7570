import { describe, expect, it } from 'vitest';
import { decodeLine } from '../../../firmware-protocol/decode-line.ts';
import { encodeCommand } from '../../../firmware-protocol/encode-command.ts';
import type { BoardLine, SampleLine } from '../../../firmware-protocol/lines.ts';
import { SampleSequence } from '../../../firmware-protocol/sequence.ts';
import { PracticeBench } from '../../../server/practice/practice-bench.ts';
import { PracticeBoard } from '../../../server/practice/practice-board.ts';

function linesOf(text: string): BoardLine[] {
  return text
    .split('\n')
    .filter((line) => line !== '')
    .map((line) => {
      const decoded = decodeLine(line);
      if (!decoded.ok) throw new Error(`${line}: ${decoded.reason}`);
      return decoded.line;
    });
}

const samplesOf = (lines: readonly BoardLine[]) =>
  lines.filter((line): line is SampleLine => line.kind === 'sample');

function newBoard(layout = 'twin-180') {
  const bench = new PracticeBench({ layout, warmUpS: 1, conversionS: 0.000_104, historyS: 2 });
  return { bench, board: new PracticeBoard(bench, 5_000) };
}

/** Runs in steps of 10 ms of the clock, as the source does. */
function runFor(board: PracticeBoard, fromMs: number, toMs: number): BoardLine[] {
  let text = '';
  for (let nowMs = fromMs + 10; nowMs <= toMs; nowMs += 10) text += board.run(nowMs);
  return linesOf(text);
}

describe('the practice board', () => {
  it('leaves out a sample whose conversions began before it was switched on', () => {
    const bench = new PracticeBench({
      layout: 'four-inline',
      warmUpS: 1,
      conversionS: 0.000_104,
      historyS: 2,
    });
    // A sample is taken every 2 ms; the last of its four channels 0.312 ms later.
    bench.advance(0.200_25);
    const board = new PracticeBoard(bench, 5_000);
    const samples = samplesOf(runFor(board, 5_000, 5_100));
    expect(samples.length).toBeGreaterThan(40);
    expect(samples[0]).toMatchObject({ sequence: 0, timeTicks: 1_750 });
  });

  it('first sends an empty line and its identity, then samples unasked', () => {
    const { board } = newBoard('triple-120');
    const text = board.run(5_100);
    expect(text.startsWith('\nI,')).toBe(true);
    const lines = linesOf(text);
    expect(lines[0]).toEqual({
      kind: 'identity',
      protocolVersion: 1,
      boardId: 'practice',
      firmwareVersion: 'practice-1',
      sensorTypes: ['MPX4115A', 'MPX4115A', 'MPX4115A'],
      sampleRateHz: 500,
      clockRateHz: 1_000_000,
      conversionTicks: 104,
      fullScaleCounts: 1023,
    });
    const samples = samplesOf(lines);
    expect(samples.length).toBeGreaterThanOrEqual(49);
    expect(samples[0]).toMatchObject({ sequence: 0 });
    expect(samples[0]!.timeTicks).toBeLessThan(5_000);
  });

  it('sends 500 samples a second, numbered and stamped without a gap', () => {
    const { board } = newBoard();
    const samples = samplesOf(runFor(board, 5_000, 15_000));
    expect(samples.length).toBeGreaterThanOrEqual(4_999);
    expect(samples.length).toBeLessThanOrEqual(5_001);
    const sequence = new SampleSequence(2_000);
    samples.forEach((sample, at) => {
      expect(sequence.place(sample).order).toBe(at === 0 ? 'first' : 'next');
    });
  });

  it('sends the air pressure once a second', () => {
    const { board, bench } = newBoard();
    const ambient = runFor(board, 5_000, 15_000).filter((line) => line.kind === 'ambient');
    expect(ambient).toHaveLength(10);
    expect(ambient[0]).toMatchObject({ pressurePa: bench.ambientKpa * 1000 });
  });

  it('answers identify, start, stop and rate with its identity and does as it is told', () => {
    const { board } = newBoard();
    runFor(board, 5_000, 6_000);
    board.command(encodeCommand({ kind: 'identify' }));
    expect(runFor(board, 6_000, 6_010)[0]!.kind).toBe('identity');

    board.command(encodeCommand({ kind: 'stop' }));
    const stopped = runFor(board, 6_010, 7_000);
    expect(stopped[0]!.kind).toBe('identity');
    expect(samplesOf(stopped)).toHaveLength(0);

    board.command(encodeCommand({ kind: 'start' }));
    const started = runFor(board, 7_000, 7_100);
    // Sampling and numbering went on while nothing was sent.
    expect(samplesOf(started)[0]!.sequence).toBeGreaterThan(995);

    board.command(encodeCommand({ kind: 'rate', sampleRateHz: 1_000 }));
    const faster = runFor(board, 7_100, 8_100);
    expect(faster[0]).toMatchObject({ kind: 'identity', sampleRateHz: 1_000 });
    const samples = samplesOf(faster);
    expect(Math.abs(samples.length - 1_000)).toBeLessThanOrEqual(2);
    expect(samples[500]!.timeTicks - samples[499]!.timeTicks).toBe(1_000);
  });

  it('counts the commands that it refuses', () => {
    const { board } = newBoard();
    runFor(board, 5_000, 5_050);
    board.command('s*0000\n');
    board.command(encodeCommand({ kind: 'rate', sampleRateHz: 4_000 }));
    const notices = runFor(board, 5_050, 5_100).filter((line) => line.kind === 'notice');
    expect(notices).toEqual([
      { kind: 'notice', notice: 'bad-command', count: 1 },
      { kind: 'notice', notice: 'bad-command', count: 2 },
    ]);
  });

  it('makes up for a short pause', () => {
    const { board } = newBoard();
    const before = samplesOf(runFor(board, 5_000, 6_000));
    const after = samplesOf(linesOf(board.run(6_400)));
    expect(after[0]!.sequence).toBe(before.at(-1)!.sequence + 1);
    expect(after.length).toBeGreaterThanOrEqual(199);
  });

  it('loses the samples of a long pause instead of replaying them, and says how many', () => {
    const { board, bench } = newBoard();
    const before = samplesOf(runFor(board, 5_000, 6_000));
    const benchS = bench.timeS;
    const nightMs = 8 * 3_600_000;
    const lines = linesOf(board.run(6_000 + nightMs));
    expect(bench.timeS - benchS).toBeLessThanOrEqual(0.5);
    expect(lines.length).toBeLessThan(300);
    expect(lines[0]).toMatchObject({ kind: 'notice', notice: 'overflow', count: 65_535 });
    const after = runFor(board, 6_000 + nightMs, 7_000 + nightMs);
    expect(Math.abs(samplesOf(after).length - 500)).toBeLessThanOrEqual(1);
    expect(before.length).toBeGreaterThan(0);
  });

  it('lets a pause of a minute be seen as a gap of so many samples', () => {
    const { board } = newBoard();
    const before = samplesOf(runFor(board, 5_000, 6_000));
    const after = samplesOf([...linesOf(board.run(66_000)), ...runFor(board, 66_000, 66_100)]);
    const sequence = new SampleSequence(2_000);
    for (const sample of before) sequence.place(sample);
    const placed = sequence.place(after[0]!);
    expect(placed.order).toBe('gap');
    expect(Math.abs(placed.missing - 30_000)).toBeLessThan(260);
    for (const sample of after.slice(1)) expect(sequence.place(sample).order).toBe('next');
  });

  it('starts anew, with its number of channels, when it is put on another engine', () => {
    const { board } = newBoard();
    runFor(board, 5_000, 6_000);
    board.exchange(new PracticeBench({ layout: 'v-eight', warmUpS: 0, historyS: 1 }));
    const lines = runFor(board, 6_000, 6_100);
    expect(lines[0]).toMatchObject({ kind: 'identity' });
    const samples = samplesOf(lines);
    expect(samples[0]!.sequence).toBe(0);
    expect(samples.every((sample) => sample.counts.length === 8)).toBe(true);
    expect(samples.length).toBeGreaterThanOrEqual(49);
  });
});

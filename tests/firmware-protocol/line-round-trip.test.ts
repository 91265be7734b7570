import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { decodeCommand } from '../../firmware-protocol/decode-command.ts';
import { decodeLine } from '../../firmware-protocol/decode-line.ts';
import { encodeCommand } from '../../firmware-protocol/encode-command.ts';
import { encodeLine } from '../../firmware-protocol/encode-line.ts';
import { MAX_COMMAND_BYTES, MAX_LINE_BYTES } from '../../firmware-protocol/line-limits.ts';
import type { BoardLine, IdentityLine } from '../../firmware-protocol/lines.ts';
import { boardCommand, boardLine } from './arbitrary-lines.ts';

const SEED = 7_310_042;
const RUNS = { seed: SEED, numRuns: 2_000 };

describe(`lines and commands (seed ${SEED})`, () => {
  test('every line arrives as it left, with LF, CR LF or no line ending', () => {
    fc.assert(
      fc.property(boardLine, (line) => {
        const text = encodeLine(line);
        const bare = text.trimEnd();
        for (const spelling of [text, bare, `${bare}\r\n`, `${bare}\r`]) {
          expect(decodeLine(spelling)).toEqual({ ok: true, line });
        }
      }),
      RUNS,
    );
  });

  test('every command arrives as it left and fits the buffer of a small board', () => {
    fc.assert(
      fc.property(boardCommand, (command) => {
        const text = encodeCommand(command);
        expect(text.length).toBeLessThanOrEqual(MAX_COMMAND_BYTES);
        expect(decodeCommand(text)).toEqual({ ok: true, command });
      }),
      RUNS,
    );
  });

  test('a line is printable ASCII that ends in one line feed and is no longer than allowed', () => {
    fc.assert(
      fc.property(boardLine, (line) => {
        const text = encodeLine(line);
        expect(text).toMatch(/^[\x20-\x7e]+\*[0-9A-F]{4}\n$/);
        expect(text.length).toBeLessThanOrEqual(MAX_LINE_BYTES);
      }),
      RUNS,
    );
  });

  test('what decodes is spelt in the only valid way', () => {
    fc.assert(
      fc.property(boardLine, fc.nat(), fc.string({ maxLength: 3 }), (line, place, insert) => {
        const text = encodeLine(line).trimEnd();
        const at = place % (text.length + 1);
        const changed = text.slice(0, at) + insert + text.slice(at);
        const decoded = decodeLine(changed);
        if (decoded.ok) expect(encodeLine(decoded.line).trimEnd()).toBe(changed);
      }),
      RUNS,
    );
  });

  test('an echoed command is not a line, and a line is not a command', () => {
    fc.assert(
      fc.property(boardCommand, boardLine, (command, line) => {
        expect(decodeLine(encodeCommand(command)).ok).toBe(false);
        expect(decodeCommand(encodeLine(line)).ok).toBe(false);
      }),
      RUNS,
    );
  });

  test('the longest identity fits a line', () => {
    const longest: IdentityLine = {
      kind: 'identity',
      protocolVersion: 1,
      boardId: 'B'.repeat(16),
      firmwareVersion: '1'.repeat(16),
      sensorTypes: Array.from({ length: 8 }, () => 'S'.repeat(16)),
      sampleRateHz: 4_000,
      clockRateHz: 100_000_000,
      conversionTicks: 16_777_215,
      fullScaleCounts: 16_777_215,
    };
    expect(decodeLine(encodeLine(longest))).toEqual({ ok: true, line: longest });
  });

  test('pressure is rounded to 1 Pa and temperature to 0.01 degrees', () => {
    const text = encodeLine({ kind: 'ambient', pressurePa: 99_870.4, temperatureCelsius: 21.494 });
    expect(decodeLine(text)).toEqual({
      ok: true,
      line: { kind: 'ambient', pressurePa: 99_870, temperatureCelsius: 21.49 },
    });
  });

  test.each<[string, BoardLine]>([
    ['a sequence number of 65536', { kind: 'sample', sequence: 65_536, timeTicks: 0, counts: [1] }],
    ['a broken count', { kind: 'sample', sequence: 0, timeTicks: 0, counts: [Number.NaN] }],
    ['no channel', { kind: 'sample', sequence: 0, timeTicks: 0, counts: [] }],
    ['nine channels', { kind: 'sample', sequence: 0, timeTicks: 0, counts: [1, 2, 3, 4, 5, 6, 7, 8, 9] }],
    ['a fraction of a tick', { kind: 'sample', sequence: 0, timeTicks: 0.5, counts: [1] }],
    ['an infinite pressure', { kind: 'ambient', pressurePa: Infinity, temperatureCelsius: null }],
    ['a notice that never happened', { kind: 'notice', notice: 'overflow', count: 0 }],
  ])('%s cannot be sent', (_what, line) => {
    expect(() => encodeLine(line)).toThrow(RangeError);
  });

  test.each([0, 4_001, 1.5, Number.NaN])('a rate of %s cannot be asked for', (sampleRateHz) => {
    expect(() => encodeCommand({ kind: 'rate', sampleRateHz })).toThrow(RangeError);
  });
});

import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { decodeCommand } from '../../firmware-protocol/decode-command.ts';
import { decodeLine } from '../../firmware-protocol/decode-line.ts';
import { encodeCommand } from '../../firmware-protocol/encode-command.ts';
import { encodeLine } from '../../firmware-protocol/encode-line.ts';
import { linesPerSecond, worstSampleLineBytes } from '../../firmware-protocol/line-budget.ts';
import {
  MAX_CLOCK_RATE_HZ,
  MAX_COMMAND_BYTES,
  MAX_COUNT,
  MAX_LINE_BYTES,
  MAX_NAME_LENGTH,
  MAX_SAMPLE_RATE_HZ,
  MIN_CLOCK_RATE_HZ,
  MIN_SAMPLE_RATE_HZ,
} from '../../firmware-protocol/line-limits.ts';
import { BAD_LINE_REASONS, BOARD_NOTICES } from '../../firmware-protocol/lines.ts';
import { MAX_LATE_SAMPLES } from '../../firmware-protocol/sequence.ts';

const text = readFileSync(new URL('../../firmware-protocol/PROTOCOL.md', import.meta.url), 'utf8');

function block(language: string): string[] {
  const found = new RegExp(`\`\`\`${language}\\n([^\`]*)\`\`\``).exec(text);
  if (found === null) throw new Error(`PROTOCOL.md has no block of ${language}`);
  return found[1]!.trimEnd().split('\n');
}

/** Cells of every table row between this heading or sentence and the next heading or empty table end. */
function tableAfter(marker: string): string[][] {
  const start = text.indexOf(marker);
  if (start < 0) throw new Error(`PROTOCOL.md does not say '${marker}'`);
  const lines = text.slice(start).split('\n');
  const first = lines.findIndex((line) => line.startsWith('|'));
  const rows: string[][] = [];
  for (let at = first + 2; lines[at]?.startsWith('|'); at++) {
    rows.push(
      lines[at]!.split('|')
        .slice(1, -1)
        .map((cell) => cell.trim()),
    );
  }
  return rows;
}

describe('PROTOCOL.md', () => {
  test.each(block('lines'))('%s decodes and is spelt as the encoder spells it', (line) => {
    const decoded = decodeLine(line);
    if (!decoded.ok) throw new Error(decoded.reason);
    expect(encodeLine(decoded.line)).toBe(`${line}\n`);
  });

  test('has an example of every kind of line and of every command', () => {
    expect(new Set(block('lines').map((line) => line[0]))).toEqual(new Set('ISAN'));
    expect(new Set(block('commands').map((line) => line[0]))).toEqual(new Set('isxr'));
  });

  test.each(block('commands'))('%s is the command that the encoder writes', (line) => {
    const decoded = decodeCommand(line);
    if (!decoded.ok) throw new Error(decoded.reason);
    expect(encodeCommand(decoded.command)).toBe(`${line}\n`);
  });

  test.each(block('refused').map((row) => row.split(/ {2,}/) as [string, string]))(
    '%s: %s',
    (reason, line) => {
      expect(decodeLine(line)).toEqual({ ok: false, reason });
    },
  );

  test('explains every reason and every event, and no other', () => {
    expect(tableAfter('## Why a line is refused').map((row) => row[0])).toEqual([...BAD_LINE_REASONS]);
    expect(tableAfter('### Notice').map((row) => row[0])).toEqual([...BOARD_NOTICES]);
  });

  test.each([
    ['Counts of up to four digits', 4_096],
    ['Counts of eight digits', MAX_COUNT],
  ])('has the line budget that the code computes: %s', (marker, highestCount) => {
    const rows = tableAfter(marker).map((row) => row.map(Number));
    expect(rows).toEqual(
      [1, 2, 3, 4, 5, 6, 7, 8].map((channels) => [
        channels,
        worstSampleLineBytes(channels, highestCount),
        ...[115_200, 500_000, 1_000_000].map((baud) => linesPerSecond(channels, highestCount, baud).usable),
      ]),
    );
  });

  test('states the limits that the code has', () => {
    expect(Object.fromEntries(tableAfter('## Limits'))).toEqual({
      'longest line, line ending included': `${MAX_LINE_BYTES} bytes`,
      'longest command, line ending included': `${MAX_COMMAND_BYTES} bytes`,
      'longest name': `${MAX_NAME_LENGTH} characters`,
      'highest count': `${MAX_COUNT}`,
      channels: '1-8',
    });
    const identity = new Map(tableAfter('### Identity').map((row) => [row[0], row[3]]));
    expect(identity.get('sample-rate')).toBe(`${MIN_SAMPLE_RATE_HZ}-${MAX_SAMPLE_RATE_HZ}`);
    expect(identity.get('clock-rate')).toBe(`${MIN_CLOCK_RATE_HZ}-${MAX_CLOCK_RATE_HZ}`);
    expect(text).toContain(`up to ${MAX_LATE_SAMPLES} samples back is late`);
  });
});

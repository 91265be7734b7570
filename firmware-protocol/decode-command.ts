import { readWhole } from './field.ts';
import { checkFrame } from './line-frame.ts';
import { MAX_COMMAND_BYTES, MAX_SAMPLE_RATE_HZ, MIN_SAMPLE_RATE_HZ } from './line-limits.ts';
import type { BadLineReason, BoardCommand } from './lines.ts';

export type DecodedCommand =
  | { readonly ok: true; readonly command: BoardCommand }
  | { readonly ok: false; readonly reason: BadLineReason };

/**
 * One command to the board as a value, or the reason why it is none. Never throws.
 *
 * @param text one command, with or without its line ending
 */
export function decodeCommand(text: string): DecodedCommand {
  if (text.length > MAX_COMMAND_BYTES) return { ok: false, reason: 'too-long' };
  const end = checkFrame(text);
  if (typeof end !== 'number') return { ok: false, reason: end };
  const [letter, ...fields] = text.slice(0, end).split(',');
  const plain = PLAIN_COMMANDS.get(letter ?? '');
  if (plain !== undefined) {
    return fields.length === 0 ? { ok: true, command: plain } : { ok: false, reason: 'wrong-field-count' };
  }
  if (letter !== 'r') return { ok: false, reason: 'unknown-kind' };
  if (fields.length !== 1) return { ok: false, reason: 'wrong-field-count' };
  const sampleRateHz = readWhole(fields[0]!);
  if (sampleRateHz === null) return { ok: false, reason: 'bad-number' };
  if (sampleRateHz < MIN_SAMPLE_RATE_HZ || sampleRateHz > MAX_SAMPLE_RATE_HZ) {
    return { ok: false, reason: 'out-of-range' };
  }
  return { ok: true, command: { kind: 'rate', sampleRateHz } };
}

const PLAIN_COMMANDS: ReadonlyMap<string, BoardCommand> = new Map([
  ['i', { kind: 'identify' }],
  ['s', { kind: 'start' }],
  ['x', { kind: 'stop' }],
]);

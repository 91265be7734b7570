import { describe, expect, test } from 'vitest';
import { identityEeprom } from '../../../firmware-protocol/board/identity-image.ts';
import { EmulatedBoard } from './emulated-board.ts';
import { loadFirmwareImage, parseIntelHexBytes } from './firmware-image.ts';
import { ReceivedLines } from './received-lines.ts';

const image = loadFirmwareImage('board-4.hex');
/** The very first start also writes the EEPROM. */
const FIRST_START_S = 0.7;

function startedBoard(options: { eeprom?: Uint8Array; memorySeed?: number } = {}) {
  const received = new ReceivedLines();
  const board = new EmulatedBoard({ image, voltageAt: () => 2.5, onByte: received.onByte, ...options });
  board.run(FIRST_START_S);
  return { board, received };
}

describe('the reference firmware at start', () => {
  test('says who it is, then samples, without being asked', () => {
    const { board, received } = startedBoard();
    expect(board.baud).toBe(500_000);
    expect(received.bad.total()).toBe(0);
    expect(received.lines[0]).toMatchObject({
      kind: 'identity',
      protocolVersion: 1,
      sampleRateHz: 500,
      clockRateHz: 2_000_000,
      fullScaleCounts: 4_096,
      sensorTypes: ['MPX4115A', 'MPX4115A', 'MPX4115A', 'MPX4115A'],
    });
    expect(received.samples.length).toBeGreaterThan(50);
    expect(received.samples[0]).toMatchObject({ sequence: 0 });
    expect(received.samples[0]!.timeTicks).toBeLessThan(8_000);
    expect(received.lines.length).toBe(1 + received.samples.length);
  });

  test('keeps its made-up id over power-downs, and two chips have different ids', () => {
    const first = startedBoard({ memorySeed: 11 });
    const id = first.received.identities[0]!.boardId;
    expect(id).toMatch(/^B[0-9A-F]{8}$/);
    const again = startedBoard({ memorySeed: 12, eeprom: first.board.eeprom.memory });
    expect(again.received.identities[0]!.boardId).toBe(id);
    const other = startedBoard({ memorySeed: 12 });
    expect(other.received.identities[0]!.boardId).not.toBe(id);
  });

  test('an id and sensor types written to the EEPROM are reported', () => {
    const eeprom = parseIntelHexBytes(identityEeprom('bench-7', ['MPX4250A', null, 'MPXH6400A']), 1_024);
    const { received } = startedBoard({ eeprom });
    expect(received.identities[0]).toMatchObject({
      boardId: 'bench-7',
      sensorTypes: ['MPX4250A', 'MPX4115A', 'MPXH6400A', 'MPX4115A'],
    });
  });

  test('a damaged EEPROM gives a new id rather than garbage', () => {
    const eeprom = parseIntelHexBytes(identityEeprom('bench-7', []), 1_024);
    eeprom[3] = eeprom[3]! ^ 0x04;
    const { received } = startedBoard({ eeprom });
    expect(received.identities[0]!.boardId).toMatch(/^B[0-9A-F]{8}$/);
    expect(received.bad.total()).toBe(0);
  });

  test('what is not a name cannot be made into an EEPROM image', () => {
    expect(() => identityEeprom('bench 7', [])).toThrow(RangeError);
    expect(() => identityEeprom('', [])).toThrow(RangeError);
    expect(() => identityEeprom('b', ['x'.repeat(17)])).toThrow(RangeError);
    expect(() =>
      identityEeprom(
        'b',
        Array.from({ length: 9 }, () => null),
      ),
    ).toThrow(RangeError);
  });
});

describe('a reset in the middle of everything', () => {
  test('costs at most the line it cut off; the next identity arrives whole', () => {
    const { board, received } = startedBoard();
    for (let resets = 1; resets <= 40; resets++) {
      // 37 ms and a bit more each time: the reset falls anywhere within a line or between two.
      board.run(0.037 + resets * 0.000_053);
      received.clear();
      const badBefore = received.bad.total();
      board.reset('external');
      board.run(0.03);
      expect(received.bad.total() - badBefore).toBeLessThanOrEqual(1);
      // Where only the line ending was cut off, the empty line at start completes a good line.
      const at = received.lines.findIndex((line) => line.kind === 'identity');
      expect(at).toBeGreaterThanOrEqual(0);
      expect(at).toBeLessThanOrEqual(1);
      expect(received.lines[at + 1]).toMatchObject({ kind: 'sample', sequence: 0 });
    }
    expect(received.bad.total()).toBeGreaterThan(5);
  });

  test('a hung program is restarted by the watchdog within 200 ms, and says so', () => {
    const { board, received } = startedBoard();
    for (let hangs = 1; hangs <= 3; hangs++) {
      received.clear();
      const before = board.timeS;
      board.hang();
      board.run(0.25);
      expect(received.lines[0]).toMatchObject({ kind: 'identity' });
      expect(received.lines[1]).toEqual({ kind: 'notice', notice: 'watchdog', count: hangs });
      expect(received.samples.length).toBeGreaterThan(10);
      expect(received.timesS[0]! - before).toBeLessThan(0.2);
    }
  });

  test('a brown-out is reported, an external reset and power-up are not', () => {
    const { board, received } = startedBoard();
    board.reset('brown-out');
    board.run(0.1);
    expect(received.notices).toEqual([{ kind: 'notice', notice: 'brown-out', count: 1 }]);
    board.reset('external');
    board.run(0.1);
    board.reset('brown-out');
    board.run(0.1);
    expect(received.notices.at(-1)).toEqual({ kind: 'notice', notice: 'brown-out', count: 2 });
    board.reset('power');
    board.run(0.1);
    expect(received.notices.length).toBe(2);
    board.reset('brown-out');
    board.run(0.1);
    expect(received.notices.at(-1)).toEqual({ kind: 'notice', notice: 'brown-out', count: 1 });
  });
});

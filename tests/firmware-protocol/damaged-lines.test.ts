import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { crc16Hex } from '../../firmware-protocol/crc16.ts';
import { decodeCommand } from '../../firmware-protocol/decode-command.ts';
import { decodeLine } from '../../firmware-protocol/decode-line.ts';
import { encodeLine } from '../../firmware-protocol/encode-line.ts';
import type { BadLineReason } from '../../firmware-protocol/lines.ts';
import { identityLine, sampleLine } from './arbitrary-lines.ts';

const SEED = 55_021_733;

/** The body with a right checksum, so that only what is said in the body is judged. */
function sealed(body: string): string {
  return `${body}*${crc16Hex(body)}`;
}

function reasonOf(text: string): BadLineReason | 'ok' {
  const decoded = decodeLine(text);
  return decoded.ok ? 'ok' : decoded.reason;
}

describe(`damaged lines (seed ${SEED})`, () => {
  test('every change of one byte of a sample line is refused', () => {
    fc.assert(
      fc.property(sampleLine, (line) => {
        const text = encodeLine(line).trimEnd();
        for (let at = 0; at < text.length; at++) {
          for (let byte = 0; byte < 256; byte++) {
            if (byte === text.charCodeAt(at)) continue;
            const changed = text.slice(0, at) + String.fromCharCode(byte) + text.slice(at + 1);

            expect(decodeLine(changed).ok, JSON.stringify(changed)).toBe(false);
          }
        }
      }),
      { seed: SEED, numRuns: 25 },
    );
  });

  test('every burst of up to 16 changed bits is refused', () => {
    // A CRC of 16 bits finds all bursts no longer than itself; on the line that is three adjacent bytes at most.
    fc.assert(
      fc.property(
        sampleLine,
        fc.nat(),
        fc.integer({ min: 1, max: 0xffff }),
        fc.nat({ max: 7 }),
        (line, place, burst, shift) => {
          const body = encodeLine(line).trimEnd().slice(0, -5);
          const at = place % Math.max(1, body.length - 2);
          const bits = burst << shift;
          const flipped = [...body].map((character, index) => {
            const part = index - at;
            return part >= 0 && part < 3
              ? String.fromCharCode(character.charCodeAt(0) ^ ((bits >>> (16 - 8 * part)) & 0xff))
              : character;
          });
          if (flipped.join('') === body) return;
          const changed = `${flipped.join('')}*${crc16Hex(body)}`;
          expect(decodeLine(changed).ok, JSON.stringify(changed)).toBe(false);
        },
      ),
      { seed: SEED, numRuns: 5_000 },
    );
  });

  test('the head of one line glued to the tail of another is refused', () => {
    let glued = 0;
    let accepted = 0;
    fc.assert(
      fc.property(sampleLine, sampleLine, (first, second) => {
        const head = encodeLine(first).trimEnd();
        const tail = encodeLine(second).trimEnd();
        for (let cutHead = 1; cutHead < head.length; cutHead++) {
          for (let cutTail = 1; cutTail < tail.length; cutTail++) {
            const text = head.slice(0, cutHead) + tail.slice(cutTail);
            if (text === head || text === tail) continue;
            glued++;
            if (decodeLine(text).ok) accepted++;
          }
        }
      }),
      { seed: SEED, numRuns: 100 },
    );
    expect(glued).toBeGreaterThan(100_000);
    // Chance alone lets one in 65536 through; most glued lines fail before the checksum is asked.
    expect(accepted / glued).toBeLessThan(3 / 65_536);
  });

  test('a lost line ending makes two lines one, and neither is taken', () => {
    fc.assert(
      fc.property(sampleLine, sampleLine, (first, second) => {
        expect(decodeLine(encodeLine(first).trimEnd() + encodeLine(second)).ok).toBe(false);
      }),
      { seed: SEED },
    );
  });

  test('every line cut short is refused', () => {
    fc.assert(
      fc.property(fc.oneof(sampleLine, identityLine), (line) => {
        const text = encodeLine(line).trimEnd();
        for (let length = 0; length < text.length; length++) {
          expect(decodeLine(text.slice(0, length)).ok).toBe(false);
        }
      }),
      { seed: SEED },
    );
  });

  test('no text makes the decoders throw', () => {
    const anything = fc.oneof(
      fc.string({ unit: 'binary', maxLength: 300 }),
      fc.string({ unit: fc.constantFrom(...'ISANisxr,*-0123456789ABF\r\n'), maxLength: 60 }),
      fc.string({ unit: fc.constantFrom(...'ISANisxr,-0123456789'), maxLength: 60 }).map(sealed),
    );
    fc.assert(
      fc.property(anything, (text) => {
        expect(decodeLine(text)).toHaveProperty('ok');
        expect(decodeCommand(text)).toHaveProperty('ok');
      }),
      { seed: SEED, numRuns: 10_000 },
    );
  });
});

describe('the reason why a line is refused', () => {
  const identity = 'I,1,b,1,500,2000000,224,4096';
  test.each<[string, string, BadLineReason]>([
    ['nothing', '', 'no-checksum'],
    ['241 characters', 'S'.repeat(241), 'too-long'],
    ['a control character', sealed('S,1,2\u0007,3'), 'not-text'],
    ['a character above ASCII', sealed('S,1,2,3é'), 'not-text'],
    ['a checksum only', '*FFFF', 'no-checksum'],
    ['a short checksum', 'S,1,2,3*FF', 'no-checksum'],
    [
      'a checksum in lower case',
      sealed('S,7,28000,2731,2745').toLowerCase().replace('s', 'S'),
      'no-checksum',
    ],
    ['two stars', sealed('S,1,2*3'), 'no-checksum'],
    ['a kind of two letters', sealed('SS,1,2,3'), 'unknown-kind'],
    ['an unknown kind', sealed('B,1'), 'unknown-kind'],
    ['an unknown event', sealed('N,fire,1'), 'unknown-kind'],
    ['a letter alone', sealed('S'), 'wrong-field-count'],
    ['a sequence number alone', sealed('S,1'), 'wrong-field-count'],
    ['no field at all', sealed('I'), 'wrong-field-count'],
    ['an identity without its end', sealed('I,1,b,1,500'), 'wrong-field-count'],
    ['more sensors than channels', sealed(`${identity},1,a,b`), 'wrong-field-count'],
    ['fewer sensors than channels', sealed(`${identity},2,a`), 'wrong-field-count'],
    ['three ambient fields', sealed('A,1,2,3'), 'wrong-field-count'],
    ['an empty count', sealed('S,1,2,'), 'bad-number'],
    ['a sign', sealed('S,1,2,-3'), 'bad-number'],
    ['a point', sealed('S,1,2,3.0'), 'bad-number'],
    ['a leading zero', sealed('S,1,2,03'), 'bad-number'],
    ['a space', sealed('S,1,2, 3'), 'bad-number'],
    ['an exponent', sealed('S,1,2,1e3'), 'bad-number'],
    ['a version that is none', sealed('I,x,b'), 'bad-number'],
    ['a rate that is none', sealed('I,1,b,1,fast,2000000,224,4096,1,a'), 'bad-number'],
    ['minus nought degrees', sealed('A,,-0'), 'bad-number'],
    ['a sequence number too high', sealed('S,65536,2,3'), 'out-of-range'],
    ['a time too high', sealed('S,1,4294967296,3'), 'out-of-range'],
    ['a count too high', sealed('S,1,2,16777216'), 'out-of-range'],
    ['a count of 200 digits', sealed(`S,1,2,${'9'.repeat(200)}`), 'out-of-range'],
    ['a name of 17 characters', sealed(`I,1,${'b'.repeat(17)},1,500,2000000,224,4096,1,a`), 'out-of-range'],
    ['an empty name', sealed('I,1,,1,500,2000000,224,4096,1,a'), 'out-of-range'],
    ['a name with a space', sealed(`${identity},1,a b`), 'out-of-range'],
    ['version 0', sealed('I,0,b,1,500,2000000,224,4096,1,a'), 'out-of-range'],
    ['no full scale', sealed('I,1,b,1,500,2000000,224,0,1,a'), 'out-of-range'],
    ['a pressure of outer space', sealed('A,0,'), 'out-of-range'],
    ['a boiling board', sealed('A,,12501'), 'out-of-range'],
    ['an event that never happened', sealed('N,overflow,0'), 'out-of-range'],
    ['a later version', sealed('I,2,b,1,500,2000000,224,4096,1,a'), 'newer-protocol'],
    ['a later version with fields of its own', sealed('I,9,{},+1'), 'newer-protocol'],
    ['a later version with nothing else', sealed('I,2'), 'newer-protocol'],
    ['an identity without channels', sealed(`${identity},0`), 'zero-channels'],
    ['a sample without channels', sealed('S,1,2'), 'zero-channels'],
    ['an identity with nine channels', sealed(`${identity},9,a,a,a,a,a,a,a,a,a`), 'too-many-channels'],
    ['a sample with nine channels', sealed('S,1,2,1,2,3,4,5,6,7,8,9'), 'too-many-channels'],
  ])('%s', (_what, text, reason) => {
    expect(reasonOf(text)).toBe(reason);
  });

  test.each<[string, string, BadLineReason]>([
    ['longer than a board can keep', sealed('r,1'.padEnd(32, '0')), 'too-long'],
    ['an unknown letter', sealed('q'), 'unknown-kind'],
    ['a capital letter', sealed('I'), 'unknown-kind'],
    ['something after a plain letter', sealed('s,1'), 'wrong-field-count'],
    ['a rate without a number', sealed('r'), 'wrong-field-count'],
    ['a rate that is not a number', sealed('r,ten'), 'bad-number'],
    ['a rate of 0', sealed('r,0'), 'out-of-range'],
    ['a changed checksum', 's*AF05', 'wrong-checksum'],
  ])('command: %s', (_what, text, reason) => {
    expect(decodeCommand(text)).toEqual({ ok: false, reason });
  });
});

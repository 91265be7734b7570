import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  CODE_LIFE_MS,
  type GuessAnswer,
  LOCK_OUT_MS,
  lockedForMs,
  MAX_WATCHED_ADDRESSES,
  NO_PAIRING,
  type Pairing,
  pairingStep,
  TRIES_PER_ADDRESS,
  TRIES_PER_CODE,
} from '../../../server/access/pairing.ts';

const CODE = '314159';
const WRONG = '271828';

/** Steps through events; answers of guesses are kept. */
class Played {
  pairing: Pairing = NO_PAIRING;
  nowMs = 1_000;
  offer(code = CODE, role: 'view' | 'operate' = 'operate') {
    [this.pairing] = pairingStep(this.pairing, { type: 'offer', code, role, nowMs: this.nowMs });
    return this;
  }
  guess(code: string, address = 'a'): GuessAnswer | null {
    const [next, answer] = pairingStep(this.pairing, { type: 'guess', code, address, nowMs: this.nowMs });
    this.pairing = next;
    return answer;
  }
  look() {
    [this.pairing] = pairingStep(this.pairing, { type: 'look', nowMs: this.nowMs });
    return this.pairing;
  }
}

describe('letting a device in', () => {
  test('the code that is shown lets in with the role that the person chose', () => {
    expect(new Played().offer(CODE, 'view').guess(CODE)).toEqual({ outcome: 'let-in', role: 'view' });
    expect(new Played().offer(CODE, 'operate').guess(CODE)).toEqual({ outcome: 'let-in', role: 'operate' });
  });

  test('a code is good once', () => {
    const played = new Played().offer();
    played.guess(CODE);
    expect(played.guess(CODE, 'b')).toEqual({ outcome: 'not-accepted' });
    expect(played.pairing.lastOffer).toBe('used');
  });

  test('a code is good until its time is over and not a moment longer', () => {
    const early = new Played().offer();
    early.nowMs += CODE_LIFE_MS - 1;
    expect(early.guess(CODE)).toMatchObject({ outcome: 'let-in' });
    const late = new Played().offer();
    late.nowMs += CODE_LIFE_MS;
    expect(late.guess(CODE)).toEqual({ outcome: 'not-accepted' });
    expect(late.pairing.lastOffer).toBe('run-out');
  });

  test('a new code takes the place of the old one', () => {
    const played = new Played().offer('111111').offer('222222');
    expect(played.guess('111111')).toEqual({ outcome: 'not-accepted' });
    expect(played.guess('222222')).toMatchObject({ outcome: 'let-in' });
  });

  test('a code that was taken back lets nobody in', () => {
    const played = new Played().offer();
    [played.pairing] = pairingStep(played.pairing, { type: 'withdraw' });
    expect(played.guess(CODE)).toEqual({ outcome: 'not-accepted' });
  });

  test('wrong, run out and never offered get one and the same answer', () => {
    const never = new Played().guess(CODE);
    const wrong = new Played().offer().guess(WRONG);
    const late = new Played().offer();
    late.nowMs += CODE_LIFE_MS;
    expect(never).toEqual({ outcome: 'not-accepted' });
    expect(wrong).toEqual(never);
    expect(late.guess(CODE)).toEqual(never);
  });

  test('an address that was wrong too often is locked out, also with the right code, and may try again later', () => {
    const played = new Played().offer();
    for (let n = 0; n < TRIES_PER_ADDRESS; n++) {
      expect(played.guess(WRONG)).toEqual({ outcome: 'not-accepted' });
    }
    expect(played.guess(CODE)).toEqual({ outcome: 'locked-out', leftMs: LOCK_OUT_MS });
    expect(played.guess(CODE, 'b')).toMatchObject({ outcome: 'let-in' });
    played.nowMs += LOCK_OUT_MS - 1;
    played.offer();
    expect(played.guess(CODE)).toEqual({ outcome: 'locked-out', leftMs: 1 });
    played.nowMs += 1;
    expect(played.guess(CODE)).toMatchObject({ outcome: 'let-in' });
  });

  test('who is locked out does not use up the code of others', () => {
    const played = new Played().offer();
    for (let n = 0; n < 100; n++) played.guess(WRONG, 'a');
    expect(played.pairing.offer?.wrongTries).toBe(TRIES_PER_ADDRESS);
    expect(played.guess(CODE, 'b')).toMatchObject({ outcome: 'let-in' });
  });

  test('many addresses together end a code', () => {
    const played = new Played().offer();
    for (let n = 0; n < TRIES_PER_CODE; n++) played.guess(WRONG, `address-${n}`);
    expect(played.pairing).toMatchObject({ offer: null, lastOffer: 'guessed-at' });
    expect(played.guess(CODE, 'owner')).toEqual({ outcome: 'not-accepted' });
  });

  test('wrong tries before any code is shown count as well', () => {
    const played = new Played();
    for (let n = 0; n < TRIES_PER_ADDRESS; n++) played.guess(WRONG);
    expect(played.offer().guess(CODE)).toMatchObject({ outcome: 'locked-out' });
  });

  test('made-up addresses fill no memory, and the newest are remembered', () => {
    const played = new Played();
    for (let n = 0; n < 3 * MAX_WATCHED_ADDRESSES; n++) played.guess(WRONG, `address-${n}`);
    expect(played.pairing.wrong.size).toBe(MAX_WATCHED_ADDRESSES);
    expect([...played.pairing.wrong.keys()].at(-1)).toBe(`address-${3 * MAX_WATCHED_ADDRESSES - 1}`);
  });

  test.each(['12345', '1234567', 'abcdef', '１２３４５６'])('%s is no code to offer', (code) => {
    expect(() => new Played().offer(code)).toThrow(RangeError);
  });

  test('no play of events lets in without the code, twice by one code, or beyond the tries (seed 20261125)', () => {
    const event = fc.oneof(
      fc.record({ kind: fc.constant('offer' as const) }),
      fc.record({ kind: fc.constant('wait' as const), ms: fc.integer({ min: 0, max: CODE_LIFE_MS }) }),
      fc.record({
        kind: fc.constant('guess' as const),
        right: fc.boolean(),
        address: fc.constantFrom('a', 'b', 'c', 'd'),
      }),
    );
    fc.assert(
      fc.property(fc.array(event, { maxLength: 80 }), (events) => {
        const played = new Played();
        let offers = 0;
        let offeredAtMs = Number.NEGATIVE_INFINITY;
        let good = false;
        const wrongAtMs = new Map<string, number[]>();
        for (const happened of events) {
          if (happened.kind === 'wait') played.nowMs += happened.ms;
          else if (happened.kind === 'offer') {
            offers++;
            offeredAtMs = played.nowMs;
            good = true;
            played.offer(String(offers).padStart(6, '0'));
          } else {
            const { address, right } = happened;
            const answer = played.guess(right ? String(offers).padStart(6, '0') : '999999', address);
            if (answer?.outcome === 'let-in') {
              expect(right && good && played.nowMs < offeredAtMs + CODE_LIFE_MS).toBe(true);
              good = false;
              wrongAtMs.delete(address);
            } else if (answer?.outcome === 'not-accepted') {
              const recent = [...(wrongAtMs.get(address) ?? []), played.nowMs];
              wrongAtMs.set(address, recent);
              const last = recent.slice(-TRIES_PER_ADDRESS - 1);
              // One more than allowed in a row must have had a lock-out's length of rest somewhere in between.
              if (last.length > TRIES_PER_ADDRESS) {
                const rests = last.slice(1).map((atMs, index) => atMs - last[index]!);
                expect(Math.max(...rests)).toBeGreaterThanOrEqual(LOCK_OUT_MS);
              }
            } else expect(lockedForMs(played.pairing, address, played.nowMs)).toBeGreaterThan(0);
          }
        }
      }),
      { seed: 20_261_125, numRuns: 300 },
    );
  });
});

import { describe, expect, it } from 'vitest';
import {
  baseAndScrews,
  oneScrewBetweenTwo,
  rackOfFour,
  stopsAndCables,
} from '../../../../server/signal/advice/linkage.ts';
import { EQUAL_SENTENCE, moveSentence, spokenFraction } from '../../../../server/signal/advice/move-words.ts';
import { GO_IDLE_SENTENCE, GO_RAISED_SENTENCE } from '../../../../server/signal/advice/two-points.ts';
import { understood } from './sloppy-hand.ts';

const STEPS = [...new Set(Array.from({ length: 400 }, (_, i) => spokenFraction(0.02 * 1.02 ** i, null)))];

const NAMES = [oneScrewBetweenTwo(), rackOfFour(), baseAndScrews(8, 0), stopsAndCables(4)].flatMap(
  ({ screws }) => screws.map(({ name }) => name),
);

const SENTENCES = NAMES.flatMap((screwName) =>
  (['closer', 'further', 'no-change', null] as const).flatMap((outcome) =>
    [true, false].flatMap((turnedLast) => [
      moveSentence({ screwName, direction: 'either', fraction: null, turnedLast, outcome }),
      ...(['same', 'back'] as const).flatMap((direction) =>
        STEPS.map((fraction) => moveSentence({ screwName, direction, fraction, turnedLast, outcome })),
      ),
    ]),
  ),
);
const ALL = [...SENTENCES, EQUAL_SENTENCE, GO_IDLE_SENTENCE, GO_RAISED_SENTENCE];

/** Words that find fault with the person, or give orders to no purpose. */
const BLAME =
  /\b(wrong|mistake|error|fail|fault|you|your|should|must|too (much|far|little)|bad|poor|careful|oops|again!)\b|!/i;
const UNITS = /\b(kpa|mbar|psi|inhg|cmhg|mmhg|turns?\b (of|\d)|degrees?|°|%|percent|mm|thou)\b/i;

describe('what is said', () => {
  it('is plain: no blame, no unit, no figure but the number of a cylinder', () => {
    for (const sentence of ALL) {
      expect(sentence).not.toMatch(BLAME);
      expect(sentence).not.toMatch(UNITS);
      expect(sentence.replace(/(between|cylinder) \d( and \d)?/g, '')).not.toMatch(/\d/);
    }
  });

  it('can be read aloud: sentences that begin and end as such, and are short', () => {
    for (const sentence of ALL) {
      expect(sentence).toMatch(/^[A-Z][a-z0-9,:' ]+\.( [A-Z][a-z ]+\.)?$/);
      expect(sentence.split(' ').length).toBeLessThanOrEqual(25);
    }
  });

  it('one sentence asks for one turn', () => {
    for (const sentence of SENTENCES) expect(sentence.match(/\./g)).toHaveLength(1);
  });

  it('tells how the last turn went without judging who made it', () => {
    const move = { screwName: NAMES[0]!, direction: 'back', fraction: 0.5, turnedLast: true } as const;
    expect(moveSentence({ ...move, outcome: 'closer' })).toMatch(/^Closer: turn /);
    expect(moveSentence({ ...move, outcome: 'further' })).toMatch(/^Further apart: turn /);
    expect(moveSentence({ ...move, outcome: 'no-change' })).toMatch(/^Turn /);
  });

  it('is as the guide has it', () => {
    const screwName = 'the screw between 1 and 2';
    const said = (direction: 'same' | 'back', fraction: number, turnedLast: boolean) =>
      moveSentence({ screwName, direction, fraction, turnedLast, outcome: null });
    expect(said('same', 0.5, true)).toBe(
      'Turn the screw between 1 and 2 the same way, about half as much again.',
    );
    expect(said('back', 0.25, true)).toBe('Turn the screw between 1 and 2 back, about a quarter of that.');
    expect(said('back', 2, false)).toBe(
      'Turn the screw between 1 and 2 back from its last turn, about twice as far.',
    );
    expect(
      moveSentence({ screwName, direction: 'either', fraction: null, turnedLast: false, outcome: null }),
    ).toBe('Turn the screw between 1 and 2 a little, either way, and let it settle.');
    expect(EQUAL_SENTENCE).toBe('Equal. Leave the screws.');
  });
});

describe('what is understood', () => {
  it('is what was meant: screw, direction and amount come back from every sentence', () => {
    for (const screwName of NAMES) {
      for (const direction of ['same', 'back'] as const) {
        for (const fraction of STEPS) {
          const sentence = moveSentence({
            screwName,
            direction,
            fraction,
            turnedLast: false,
            outcome: 'closer',
          });
          expect(understood(sentence, NAMES)).toEqual({
            screw: NAMES.indexOf(screwName),
            fraction: direction === 'same' ? fraction : -fraction,
          });
        }
      }
    }
  });

  it('is never further from what is wanted than a hand can tell', () => {
    expect(STEPS.length).toBeGreaterThan(9);
    for (let wanted = 0.1; wanted < 6.5; wanted *= 1.03) {
      const said = spokenFraction(wanted, null);
      expect(Math.max(said / wanted, wanted / said)).toBeLessThan(1.45);
    }
  });

  it('does not flicker between two amounts', () => {
    let said = spokenFraction(0.6, null);
    const heard = new Set<number>();
    for (const wanted of [0.6, 0.63, 0.6, 0.65, 0.61, 0.59, 0.64]) {
      said = spokenFraction(wanted, said);
      heard.add(said);
    }
    expect(heard.size).toBe(1);
    expect(spokenFraction(1.5, 0.5)).toBe(1.5);
  });
});

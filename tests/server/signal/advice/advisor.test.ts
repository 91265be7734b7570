import { describe, expect, it } from 'vitest';
import { Random } from '../../../../server/practice/random.ts';
import { Advisor } from '../../../../server/signal/advice/advisor.ts';
import {
  baseAndScrews,
  noLinkage,
  oneScrewBetweenTwo,
  ownLinkage,
  rackOfFour,
  stopsAndCables,
} from '../../../../server/signal/advice/linkage.ts';
import { worstTrueGapKpa } from './balancing-engine.ts';
import { cableEngine } from './cable-engine.ts';
import { quickEngine, quickEngineOf } from './quick-engine.ts';
import { readingOf } from './reading-of.ts';
import { balanceByHand } from './sloppy-hand.ts';

const TERMS = { reference: 'mean', toleranceKpa: 0.5 } as const;

/** Readings at ten a second of a set that stands still. */
function feed(
  advisor: Advisor,
  from: number,
  seconds: number,
  parts: Partial<Parameters<typeof readingOf>[0]> & { gapsKpa: readonly (number | null)[] },
): number {
  for (let i = 1; i <= seconds * 10; i++)
    advisor.push(
      readingOf({ cycles: 8 + i, expandedKpa: 0.3 / Math.sqrt(8 + i), timeS: from + i / 10, ...parts }),
    );
  return from + seconds;
}

describe('the advice', () => {
  it('is to find out, when a set that is apart is first looked at', () => {
    const advisor = new Advisor(oneScrewBetweenTwo(), TERMS);
    feed(advisor, 0, 5, { gapsKpa: [1.5, -1.5] });
    expect(advisor.advice()).toMatchObject({
      state: 'find-out',
      sentence: 'Turn the screw between 1 and 2 a little, either way, and let it settle.',
      move: { screw: 0, screwName: 'the screw between 1 and 2', direction: 'either', fraction: null },
      lastMove: null,
    });
  });

  it('then which way and how far, and whether the turn helped', () => {
    const advisor = new Advisor(oneScrewBetweenTwo(), TERMS);
    let timeS = feed(advisor, 0, 5, { gapsKpa: [1.5, -1.5] });
    timeS = feed(advisor, timeS, 1, { gapsKpa: [2, -2], settling: 'moving', cycles: 2 });
    expect(advisor.advice()).toMatchObject({ state: 'waiting', sentence: null, move: null });
    timeS = feed(advisor, timeS, 6, { gapsKpa: [2.5, -2.5] });
    expect(advisor.advice()).toMatchObject({
      state: 'move',
      sentence: 'Further apart: turn the screw between 1 and 2 back, about three times as far.',
      lastMove: { cause: 'screw', screw: 0, outcome: 'further' },
    });
    timeS = feed(advisor, timeS, 1, { gapsKpa: [1, -1], settling: 'moving', cycles: 2 });
    feed(advisor, timeS, 6, { gapsKpa: [0.8, -0.8] });
    expect(advisor.advice().sentence).toMatch(/^Closer: turn .* the same way, about half as much again\.$/);
  });

  it('is to leave the screws when all are inside', () => {
    const advisor = new Advisor(rackOfFour(), TERMS);
    feed(advisor, 0, 6, { gapsKpa: [0.1, -0.1, 0.05, -0.05] });
    expect(advisor.advice()).toMatchObject({
      state: 'equal',
      sentence: 'Equal. Leave the screws.',
      move: null,
    });
  });

  it('goes by the reference of the readings', () => {
    const gapsKpa = [0, 0.4, 0.7, 0.3];
    const toFirst = new Advisor(rackOfFour(), { ...TERMS, reference: 0 });
    feed(toFirst, 0, 6, { gapsKpa });
    expect(toFirst.advice().state).toBe('find-out');
    const toMean = new Advisor(rackOfFour(), TERMS);
    feed(toMean, 0, 6, { gapsKpa: gapsKpa.map((gap) => gap - 0.35) });
    expect(toMean.advice().state).toBe('equal');
  });

  it.each([
    ['the set moves', { gapsKpa: [2, -2], settling: 'moving' }],
    ['it has not settled', { gapsKpa: [2, -2], settling: 'settling' }],
    ['a sensor is lost', { gapsKpa: [2, null] }],
    ['the engine stands', { gapsKpa: [2, -2], speedRpm: null }],
    ['hoses look swapped', { gapsKpa: [2, -2], swappedHoses: [[0, 1]] }],
  ] as const)('is nothing while %s', (_, parts) => {
    const advisor = new Advisor(oneScrewBetweenTwo(), TERMS);
    const timeS = feed(advisor, 0, 5, { gapsKpa: [2, -2] });
    expect(advisor.advice().sentence).not.toBeNull();
    feed(advisor, timeS, 1, parts);
    expect(advisor.advice()).toMatchObject({ state: 'waiting', sentence: null, move: null });
  });

  it('is nothing while it cannot tell on which side of the edge a gap is', () => {
    const advisor = new Advisor(oneScrewBetweenTwo(), TERMS);
    feed(advisor, 0, 4, { gapsKpa: [0.45, -0.45], expandedKpa: 0.3 });
    expect(advisor.advice()).toMatchObject({ state: 'waiting', sentence: null });
  });

  it('is nothing for a set of which no linkage is known', () => {
    const advisor = new Advisor(noLinkage(4), TERMS);
    feed(advisor, 0, 5, { gapsKpa: [2, -2, 0, 0] });
    expect(advisor.advice()).toMatchObject({ state: 'waiting', sentence: null, point: null });
  });

  it('asks for no turn at a speed that is no idle', () => {
    const advisor = new Advisor(oneScrewBetweenTwo(), { ...TERMS, idleTargetRpm: 1100 });
    feed(advisor, 0, 5, { gapsKpa: [2, -2], speedRpm: 2500 });
    expect(advisor.advice()).toMatchObject({ sentence: null, point: null });
  });

  it('takes a throttle that was opened for all for no turn of a screw', () => {
    const advisor = new Advisor(oneScrewBetweenTwo(), TERMS);
    let timeS = feed(advisor, 0, 5, { gapsKpa: [2, -2] });
    timeS = feed(advisor, timeS, 1, { gapsKpa: [1.9, -1.9], settling: 'moving', cycles: 2, speedRpm: 1200 });
    feed(advisor, timeS, 6, { gapsKpa: [1.7, -1.7], speedRpm: 1300 });
    expect(advisor.advice()).toMatchObject({ state: 'find-out', lastMove: { cause: 'common', screw: null } });
  });

  it('keeps what the screws do over new terms and over a pause in the readings', () => {
    const advisor = new Advisor(oneScrewBetweenTwo(), TERMS);
    let timeS = feed(advisor, 0, 5, { gapsKpa: [2, -2] });
    timeS = feed(advisor, timeS, 1, { gapsKpa: [2, -2], settling: 'moving', cycles: 2 });
    timeS = feed(advisor, timeS, 6, { gapsKpa: [1, -1] });
    advisor.forgetBalance();
    advisor.setTerms({ reference: 0, toleranceKpa: 0.7 });
    expect(advisor.advice().sentence).toBeNull();
    feed(advisor, 0, 6, { gapsKpa: [0, -2], expandedKpa: [0, 0.1] });
    expect(advisor.advice()).toMatchObject({ state: 'move', lastMove: null, move: { direction: 'same' } });
  });

  it('reminds of an idle speed that balancing has moved', () => {
    const advisor = new Advisor(oneScrewBetweenTwo(), { ...TERMS, idleTargetRpm: 1100, idleBandRpm: 50 });
    let timeS = feed(advisor, 0, 5, { gapsKpa: [2, -2], speedRpm: 1100 });
    expect(advisor.advice().idle).toEqual({ state: 'inside', sentence: null });
    timeS = feed(advisor, timeS, 1, { gapsKpa: [1, -1], settling: 'moving', cycles: 2, speedRpm: 1160 });
    feed(advisor, timeS, 6, { gapsKpa: [0.1, -0.1], speedRpm: 1170 });
    expect(advisor.advice()).toMatchObject({
      state: 'equal',
      idle: { state: 'high', sentence: expect.stringMatching(/raised the idle speed/) },
    });
  });

  it('says the same thing for as long as nothing has changed (seeds 600…619)', () => {
    for (let seed = 600; seed < 620; seed++) {
      const engine = quickEngine({
        layout: 'four-inline',
        seed,
        mismatchTurns: [0.3, -0.2, 0.1, 0.05],
        ...TERMS,
      });
      const advisor = new Advisor(rackOfFour(), TERMS);
      const heard: string[] = [];
      for (let i = 0; i < 300; i++) {
        advisor.push(engine.advance(0.1));
        const { sentence } = advisor.advice();
        if (sentence !== null && sentence !== heard.at(-1)) heard.push(sentence);
      }
      expect(heard.length, `seed ${seed}: ${heard.join(' | ')}`).toBeLessThanOrEqual(2);
    }
  });
});

describe('a hand that follows the advice', () => {
  const HAND = { sloppiness: 0.3, blips: 0.3, setsIdle: true, idleRpm: 1113 };

  it.each([31, 32, 33, 34])('sets stops at idle and cables at a raised speed, seed %i', (seed) => {
    const random = new Random(seed);
    const off = () => 0.6 * (2 * random.uniform() - 1);
    const engine = cableEngine({
      seed,
      cylinders: 2,
      ...TERMS,
      stopTurns: [off(), off()],
      cableTurns: [off(), off() - 0.2],
    });
    const advisor = new Advisor(stopsAndCables(2), { ...TERMS, idleTargetRpm: 1113, idleBandRpm: 80 });
    const run = balanceByHand(engine, advisor, random, { ...HAND, reference: 'mean' });
    const story = run.sentences.join('\n');
    expect(run.equal, story).toBe(true);
    expect(
      run.sentences.some((sentence) => sentence.startsWith('Equal at idle')),
      story,
    ).toBe(true);
    for (const opening of [0, 1.3]) {
      engine.hold(opening);
      expect(worstTrueGapKpa(engine, 'mean'), story).toBeLessThan(0.55);
    }
    expect(run.moves, story).toBeLessThanOrEqual(12);
  });

  it.each([41, 42, 43, 44])(
    'balances a rack whose screws move the other throttle of each pair, seed %i',
    (seed) => {
      const random = new Random(seed);
      const opens = [
        [0, 1, 0, 0],
        [0, 0, 1, 0],
        [0, 0, 1, 1],
      ];
      const off = Array.from({ length: 4 }, () => 0.8 * (random.uniform() - 0.5));
      const engine = quickEngineOf({
        seed,
        cylinders: 4,
        screws: 3,
        ...TERMS,
        areas: ({ screwTurns, idleTurns }) =>
          off.map(
            (turns, cyl) =>
              1 + 0.22 * opens.reduce((sum, row, k) => sum + row[cyl]! * screwTurns[k]!, turns + idleTurns),
          ),
      });
      const run = balanceByHand(engine, new Advisor(rackOfFour(), TERMS), random, {
        ...HAND,
        reference: 'mean',
      });
      expect(run.equal, run.sentences.join('\n')).toBe(true);
      expect(run.worstKpa).toBeLessThan(0.55);
      expect(run.moves, run.sentences.join('\n')).toBeLessThanOrEqual(12);
    },
  );

  it('balances a set described by the person, whose screws move two throttles each (seed 51)', () => {
    const own = ownLinkage(3, [
      { name: 'front link', shape: [-1, -0.5, 0] },
      { name: 'rear link', shape: [0, -0.5, -1] },
    ]);
    if (!own.ok) throw new Error(own.reason);
    const { screws } = own.linkage;
    const random = new Random(51);
    const engine = quickEngineOf({
      seed: 51,
      cylinders: 3,
      screws: 2,
      ...TERMS,
      areas: ({ screwTurns, idleTurns }) =>
        [0.4, -0.1, -0.5].map(
          (turns, cyl) =>
            1 +
            0.22 *
              screws.reduce(
                (sum, { vacuumShape }, k) => sum - vacuumShape[cyl]! * screwTurns[k]!,
                turns + idleTurns,
              ),
        ),
    });
    const run = balanceByHand(engine, new Advisor(own.linkage, TERMS), random, {
      ...HAND,
      reference: 'mean',
    });
    expect(run.equal, run.sentences.join('\n')).toBe(true);
    expect(run.sentences.join(' ')).toContain('the front link');
  });

  it('is not led astray where someone turns another screw than was asked for (seed 61)', () => {
    const random = new Random(61);
    const engine = quickEngine({ layout: 'triple-120', seed: 61, mismatchTurns: [0, 0.5, -0.3], ...TERMS });
    const advisor = new Advisor(baseAndScrews(3, 0), TERMS);
    const wait = () => {
      for (let i = 0; i < 60; i++) advisor.push(engine.advance(0.1));
    };
    wait();
    const asked = advisor.advice().move!.screw;
    const other = 1 - asked;
    for (let i = 0; i < 6; i++) {
      engine.turn(other, 0.05);
      advisor.push(engine.advance(0.1));
    }
    wait();
    expect(advisor.advice().lastMove).toMatchObject({ cause: 'screw', screw: other });
    const run = balanceByHand(engine, advisor, random, { ...HAND, reference: 'mean' });
    expect(run.equal, run.sentences.join('\n')).toBe(true);
  });
});

import { describe, expect, test } from 'vitest';
import { pressureUnit } from '../../../client/units/pressure-unit.ts';
import { extremeCylinders, neededWords, sidesWords } from '../../../client/views/bench/verdict-words.ts';
import { startedWords } from '../../../client/views/captures/capture-words.ts';
import { roundTurns, turnsWords } from '../../../client/views/practice/turns.ts';
import {
  announcement,
  SPEAK_EVERY_MS,
  SPEAK_NEWS_MS,
  worthSaying,
} from '../../../client/views/shell/announcement.ts';
import { sensorSentence, sourceWords, troubleSentence } from '../../../client/views/shell/source-words.ts';
import { boardScene, practiceScene, updateOf } from '../screen/fake-scene.ts';

const half = () => 0.5;
const reading = (gapsKpa: number[]) => updateOf(practiceScene(gapsKpa.length), 10, 80, half, gapsKpa);

describe('words beside the gap', () => {
  test('they name the cylinders that pull most and least', () => {
    expect(sidesWords(reading([1, -2, 0.5]))).toBe('Cylinder 1 pulls most, 2 least');
  });

  test('a difference within its uncertainty names nobody', () => {
    expect(extremeCylinders(reading([0.05, -0.05]))).toBeNull();
  });

  test('cycles still needed are said roughly, and only while it is not sure', () => {
    expect(neededWords({ verdict: 'not-sure', cyclesNeeded: 1 })).toBe('one more cycle');
    expect(neededWords({ verdict: 'not-sure', cyclesNeeded: 23 })).toBe('about 25 more cycles');
    expect(neededWords({ verdict: 'not-sure', cyclesNeeded: 91 })).toBe('about 100 more cycles');
    expect(neededWords({ verdict: 'inside', cyclesNeeded: 5 })).toBe('');
    expect(neededWords({ verdict: 'not-sure', cyclesNeeded: null })).toBe('');
  });
});

describe('words about the source', () => {
  test('what it is, how it is and how fast', () => {
    expect(sourceWords(boardScene(4).source)).toBe('Board, live, 4 channels, 500 samples/s');
    expect(sourceWords({ ...boardScene(1).source, channels: 1 })).toContain('1 channel,');
    expect(sourceWords({ ...boardScene().source, link: 'lost' })).toBe('Board, connection lost');
  });

  const well = {
    connection: 'open',
    everConnected: true,
    crowded: false,
    source: boardScene().source,
    stale: false,
  } as const;

  test('when all is well nothing is said', () => {
    expect(troubleSentence(well)).toBeNull();
  });

  test('the program itself comes first, then the source, then missing readings', () => {
    const broken = {
      ...well,
      stale: true,
      source: { ...well.source, sentence: 'The cable is out.', errorCode: 'source-unplugged' },
    };
    expect(troubleSentence({ ...broken, connection: 'waiting' })?.code).toBe('program-lost');
    expect(troubleSentence({ ...broken, crowded: true })?.code).toBe('too-many-viewers');
    expect(troubleSentence(broken)).toEqual({ code: 'source-unplugged', sentence: 'The cable is out.' });
    expect(troubleSentence({ ...well, stale: true })?.code).toBe('stale');
    expect(troubleSentence({ ...well, source: { ...well.source, link: 'stalled' } })?.code).toBe('stalled');
  });

  test('every state of a sensor but the good one has a sentence', () => {
    expect(sensorSentence('ok')).toBe('');
    for (const state of ['no-pulse', 'open-to-air', 'blocked', 'saturated', 'dead', 'noisy'] as const) {
      expect(sensorSentence(state)).toMatch(/^[A-Z].*\.$/);
    }
  });
});

describe('what a screen reader is told', () => {
  const kpa = pressureUnit('kPa');
  const said = announcement(reading([1.2, -1.2]), null, kpa);

  test('gap, unit in full, state and the next move', () => {
    expect(said.text).toBe('Not equal yet. Gap 2.4 kilopascals, steady. Cylinder 1 pulls most, 2 least.');
    expect(announcement(reading([1.2, -1.2]), 'Turn the screw in.', kpa).text).toContain(
      'Turn the screw in.',
    );
    expect(announcement(null, null, kpa).text).toBe('No reading.');
  });

  test('no faster than it can be listened to, a new verdict sooner, a trifle never', () => {
    const changed = announcement(reading([0.8, -0.8]), null, kpa);
    expect(worthSaying(null, said, 0)).toBe(true);
    expect(worthSaying(said, said, 60_000)).toBe(false);
    expect(worthSaying(said, announcement(reading([1.9, -1.9]), null, kpa), SPEAK_EVERY_MS - 1)).toBe(false);
    expect(worthSaying(said, announcement(reading([1.9, -1.9]), null, kpa), SPEAK_EVERY_MS)).toBe(true);
    expect(worthSaying(said, announcement(reading([1.25, -1.25]), null, kpa), SPEAK_EVERY_MS)).toBe(false);
    expect(changed.news).not.toBe(said.news);
    expect(worthSaying(said, changed, SPEAK_NEWS_MS)).toBe(true);
    expect(worthSaying(said, changed, SPEAK_NEWS_MS - 1)).toBe(false);
  });
});

describe('turns of a practice screw', () => {
  test('twenty small turns make one, without dust', () => {
    let turns = 0;
    for (let i = 0; i < 20; i++) turns = roundTurns(turns + 0.05, -5, 5);
    expect(turns).toBe(1);
    expect(turnsWords(turns)).toBe('1.00 in');
    expect(turnsWords(0)).toBe('as found');
    expect(turnsWords(-0.25)).toBe('0.25 out');
  });

  test('the end of the thread is the end', () => {
    expect(roundTurns(5.2, -5, 5)).toBe(5);
  });
});

describe('when something was', () => {
  const at = (year: number, month: number, day: number) => new Date(year, month - 1, day, 14, 5).getTime();
  const now = at(2026, 3, 12);

  test('today is a time, this year a day, an earlier year never without its year', () => {
    expect(startedWords(now, now)).toBe('14:05');
    expect(startedWords(at(2026, 3, 11), now)).toBe('11 Mar, 14:05');
    expect(startedWords(at(2021, 3, 12), now)).toBe('12 Mar 2021, 14:05');
    expect(startedWords(at(2025, 12, 31), at(2026, 1, 1))).toBe('31 Dec 2025, 14:05');
  });
});

import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { BoardLine, IdentityLine } from '../../../firmware-protocol/lines.ts';
import {
  initialLink,
  nextLink,
  REFUSED_ASK_WATCHES,
  RETRY_FIRST_MS,
  RETRY_LONGEST_MS,
  retryDelayMs,
  STALL_REOPEN_WATCHES,
  STALL_WATCHES,
  UNREADABLE_LINES,
  UNREADABLE_WATCHES,
  WAIT_WATCHES,
} from '../../../server/board/board-link.ts';
import type { LinkEffect, LinkEvent, LinkState } from '../../../server/board/link-types.ts';
import { sameBoard } from '../../../server/board/same-board.ts';

const BAUD_RATES = [500_000, 115_200, 1_000_000];

const IDENTITY: IdentityLine = {
  kind: 'identity',
  protocolVersion: 1,
  boardId: 'bench-1',
  firmwareVersion: '1.0.0',
  sensorTypes: ['MPX4115A', 'MPX4115A'],
  sampleRateHz: 500,
  clockRateHz: 1_000_000,
  conversionTicks: 100,
  fullScaleCounts: 1023,
};
const SAMPLE: BoardLine = {
  kind: 'sample',
  sequence: 1,
  timeTicks: 2000,
  counts: [500, 501],
};
const AMBIENT: BoardLine = {
  kind: 'ambient',
  pressurePa: 99_000,
  temperatureCelsius: 21,
};

const start: LinkEvent = { kind: 'start' };
const opened: LinkEvent = { kind: 'opened' };
const identified: LinkEvent = { kind: 'line', line: IDENTITY };
const sample: LinkEvent = { kind: 'line', line: SAMPLE };
const ambient: LinkEvent = { kind: 'line', line: AMBIENT };
const watch: LinkEvent = { kind: 'timer', timer: 'watch' };
const retry: LinkEvent = { kind: 'timer', timer: 'retry' };
const stop: LinkEvent = { kind: 'stop' };
const garbage: LinkEvent = { kind: 'bad-line', reason: 'not-text' };
const bad = (reason: Extract<LinkEvent, { kind: 'bad-line' }>['reason']): LinkEvent => ({
  kind: 'bad-line',
  reason,
});
const ended = (code: Extract<LinkEvent, { kind: 'ended' }>['end']['code']): LinkEvent => ({
  kind: 'ended',
  end: { code, detail: '' },
});
const times = (n: number, event: LinkEvent): LinkEvent[] => Array.from({ length: n }, () => event);

interface After {
  state: LinkState;
  /** Of the last event alone. */
  effects: readonly LinkEffect[];
  /** Of all events, as short words. */
  said: string[];
}

function run(events: readonly LinkEvent[], baudRates: readonly number[] = BAUD_RATES): After {
  let state = initialLink(baudRates);
  let effects: readonly LinkEffect[] = [];
  const said: string[] = [];
  for (const event of events) {
    [state, effects] = nextLink(state, event);
    said.push(...effects.map(word));
  }
  return { state, effects, said };
}

function word(effect: LinkEffect): string {
  switch (effect.kind) {
    case 'open':
      return `open@${effect.baudRate}`;
    case 'write':
      return effect.command.kind;
    case 'set-timer':
      return `${effect.timer}:${effect.delayMs}`;
    case 'deliver':
      return `deliver:${effect.line.kind}`;
    case 'identified':
      return `identified:${effect.line.boardId}`;
    default:
      return effect.kind;
  }
}

const LIVE = [start, opened, identified, sample];

describe('the life of the link', () => {
  test('opening, asking, and going live', () => {
    const { state, said } = run(LIVE);
    expect(state).toMatchObject({
      phase: 'live',
      errorCode: null,
      failures: 0,
    });
    expect(said).toEqual([
      'clear-timers',
      'open@500000',
      'identify',
      'identify',
      'watch:500',
      'identified:bench-1',
      'start',
      'deliver:sample',
    ]);
  });

  const rows: [string, LinkEvent[], Partial<LinkState>, string[]][] = [
    [
      'a port that does not open is tried again soon',
      [start, ended('source-not-found')],
      { phase: 'lost', errorCode: 'source-not-found', failures: 1 },
      ['clear-timers', `retry:${RETRY_FIRST_MS}`],
    ],
    [
      'the retry opens again and keeps telling why it is away',
      [start, ended('source-in-use'), retry],
      { phase: 'opening', errorCode: 'source-in-use' },
      ['clear-timers', 'open@500000'],
    ],
    [
      'a board that resets on opening is asked again until it answers',
      [start, opened, watch, watch],
      { phase: 'waiting-for-board', errorCode: null },
      ['identify', 'watch:500'],
    ],
    [
      'an open port without data leads to the next line speed',
      [start, opened, ...times(WAIT_WATCHES, watch)],
      { phase: 'opening', errorCode: 'board-silent', baudIndex: 1 },
      ['clear-timers', 'open@115200'],
    ],
    [
      'nothing but garbage leads to the next line speed sooner',
      [start, opened, ...times(UNREADABLE_LINES, garbage), ...times(UNREADABLE_WATCHES, watch)],
      { phase: 'opening', errorCode: 'board-unreadable', baudIndex: 1 },
      ['clear-timers', 'open@115200'],
    ],
    [
      'a banner of a few lines is no garbage',
      [start, opened, ...times(5, garbage), ...times(UNREADABLE_WATCHES, watch)],
      { phase: 'waiting-for-board', errorCode: null },
      ['identify', 'watch:500'],
    ],
    [
      'the cut-off first line counts for nothing',
      [start, opened, ...times(UNREADABLE_LINES, bad('partial-first-line')), ...times(2, watch)],
      { phase: 'waiting-for-board', badLines: 0 },
      ['identify', 'watch:500'],
    ],
    [
      'good lines among the garbage mean that the speed is right',
      [start, opened, sample, ...times(UNREADABLE_LINES, garbage), ...times(WAIT_WATCHES, watch)],
      { phase: 'opening', errorCode: 'board-no-identity', baudIndex: 0 },
      ['clear-timers', 'open@500000'],
    ],
    [
      'samples before the identity are not delivered: nobody knows what they mean',
      [start, opened, sample],
      { phase: 'waiting-for-board', heardGoodLine: true },
      [],
    ],
    [
      'bad lines while live change nothing',
      [...LIVE, ...times(1000, bad('wrong-checksum'))],
      { phase: 'live', errorCode: null },
      [],
    ],
    [
      'samples that stop are a stall, and the board is asked to go on',
      [...LIVE, ...times(STALL_WATCHES, watch)],
      { phase: 'stalled', errorCode: 'board-stalled' },
      ['break', 'identify', 'start', 'watch:500'],
    ],
    [
      'ambient lines alone do not hide a stall',
      [...LIVE, watch, ambient, watch, ambient, watch],
      { phase: 'stalled' },
      ['break', 'identify', 'start', 'watch:500'],
    ],
    [
      'a sample ends the stall',
      [...LIVE, ...times(STALL_WATCHES, watch), sample],
      { phase: 'live', errorCode: null },
      ['deliver:sample'],
    ],
    [
      'a stalled board that only says who it is stays stalled, and no command answers an identity',
      [...LIVE, ...times(STALL_WATCHES, watch), identified],
      { phase: 'stalled' },
      [],
    ],
    [
      'a long stall opens the port afresh at the same speed',
      [...LIVE, ...times(STALL_WATCHES + STALL_REOPEN_WATCHES, watch)],
      { phase: 'opening', errorCode: 'board-stalled', baudIndex: 0 },
      ['clear-timers', 'open@500000'],
    ],
    [
      'a pulled cable breaks the samples and is tried again',
      [...LIVE, ended('source-unplugged')],
      { phase: 'lost', errorCode: 'source-unplugged', identity: IDENTITY },
      ['clear-timers', 'break', `retry:${RETRY_FIRST_MS}`],
    ],
    [
      'while the cable is out its port does not exist, and the person is still told of the cable',
      [...LIVE, ended('source-unplugged'), retry, ended('source-not-found')],
      { phase: 'lost', errorCode: 'source-unplugged' },
      ['clear-timers', 'retry:400'],
    ],
    [
      'a board that comes back is live again',
      [...LIVE, ended('source-unplugged'), retry, opened, identified],
      { phase: 'live', errorCode: null, failures: 0 },
      ['identified:bench-1', 'start'],
    ],
    [
      'the same board saying who it is once more changes nothing',
      [...LIVE, identified],
      { phase: 'live' },
      [],
    ],
    [
      'another set-up of the board is a new board',
      [...LIVE, { kind: 'line', line: { ...IDENTITY, sensorTypes: ['MPX4115A'] } }],
      { phase: 'live' },
      ['break', 'identified:bench-1', 'start'],
    ],
    [
      'a newer protocol is refused, and the port stays open',
      [start, opened, bad('newer-protocol')],
      { phase: 'refused', errorCode: 'board-newer-protocol' },
      [],
    ],
    [
      'no channels are refused',
      [start, opened, bad('zero-channels')],
      { phase: 'refused', errorCode: 'board-zero-channels' },
      [],
    ],
    [
      'too many channels are refused, also of a board that was live',
      [...LIVE, bad('too-many-channels')],
      { phase: 'refused', errorCode: 'board-too-many-channels' },
      ['break'],
    ],
    [
      'samples of a refused board are not delivered',
      [start, opened, bad('newer-protocol'), sample],
      { phase: 'refused' },
      [],
    ],
    [
      'a refused board is asked again now and then',
      [start, opened, bad('newer-protocol'), ...times(REFUSED_ASK_WATCHES, watch)],
      { phase: 'refused', errorCode: 'board-newer-protocol' },
      ['identify', 'watch:500'],
    ],
    [
      'a refused board with new firmware is taken',
      [start, opened, bad('newer-protocol'), identified],
      { phase: 'live', errorCode: null },
      ['identified:bench-1', 'start'],
    ],
    [
      'a recording that is over is not played again by itself',
      [...LIVE, ended('source-ended'), retry, opened],
      { phase: 'ended', errorCode: 'source-ended' },
      [],
    ],
    ['stopping closes the port', [...LIVE, stop], { phase: 'stopped' }, ['clear-timers', 'close']],
    [
      'nothing happens after stopping',
      [...LIVE, stop, sample, watch, ended('source-unplugged')],
      { phase: 'stopped' },
      [],
    ],
    [
      'it can be started again after stopping',
      [...LIVE, stop, start],
      { phase: 'opening' },
      ['clear-timers', 'open@500000'],
    ],
    ['starting twice opens once', [start, start], { phase: 'opening' }, []],
  ];

  test.each(rows)('%s', (_title, events, state, effects) => {
    const result = run(events);
    expect(result.state).toMatchObject(state);
    expect(result.effects.map(word)).toEqual(effects);
  });

  test('all line speeds are tried in turn, for ever', () => {
    const round = [opened, ...times(WAIT_WATCHES, watch)];
    const { said } = run([start, ...round, ...round, ...round, ...round]);
    expect(said.filter((what) => what.startsWith('open@'))).toEqual([
      'open@500000',
      'open@115200',
      'open@1000000',
      'open@500000',
      'open@115200',
    ]);
  });

  test('a source without line speeds is opened without one', () => {
    const { said } = run([start, opened, ...times(WAIT_WATCHES, watch)], []);
    expect(said.filter((what) => what.startsWith('open@'))).toEqual(['open@null', 'open@null']);
  });

  test('delays between attempts double, stay at their bound, and start small again after a good board', () => {
    const delays = Array.from({ length: 8 }, (_, failures) => retryDelayMs(failures));
    expect(delays).toEqual([200, 400, 800, 1600, 2000, 2000, 2000, 2000]);
    expect(retryDelayMs(1_000_000)).toBe(RETRY_LONGEST_MS);
    const again = [ended('source-unplugged'), retry];
    const { effects } = run([
      ...LIVE,
      ...again,
      ...again,
      ...again,
      opened,
      identified,
      ended('source-unplugged'),
    ]);
    expect(effects.map(word)).toContain(`retry:${RETRY_FIRST_MS}`);
  });

  test('two identities are the same board only if every field is', () => {
    expect(sameBoard(IDENTITY, { ...IDENTITY })).toBe(true);
    expect(sameBoard(null, IDENTITY)).toBe(false);
    for (const change of [
      { boardId: 'x' },
      { firmwareVersion: '2' },
      { sampleRateHz: 1 },
      { clockRateHz: 1 },
      { conversionTicks: 1 },
      { fullScaleCounts: 1 },
      { protocolVersion: 2 },
      { sensorTypes: ['MPX4115A', 'MPX4250A'] },
    ]) {
      expect(sameBoard(IDENTITY, { ...IDENTITY, ...change }), JSON.stringify(change)).toBe(false);
    }
  });

  const SEED = 77_001;
  test(`whatever happens, something is under way that leads on (seed ${SEED})`, () => {
    const anyEvent = fc.constantFrom<LinkEvent>(
      opened,
      identified,
      sample,
      ambient,
      watch,
      retry,
      garbage,
      bad('newer-protocol'),
      bad('endless-line'),
      ended('source-unplugged'),
      ended('source-in-use'),
      { kind: 'line', line: { ...IDENTITY, boardId: 'other' } },
    );
    fc.assert(
      fc.property(fc.array(anyEvent, { maxLength: 120 }), (events) => {
        let state = initialLink(BAUD_RATES);
        const timers = new Set<string>();
        let opening = false;
        for (const event of [start, ...events]) {
          // Only what can happen: a timer fires when set, a port opens when asked to.
          if (event.kind === 'timer' && !timers.delete(event.timer)) continue;
          if (event.kind === 'opened') {
            if (!opening) continue;
            opening = false;
          }
          if (event.kind === 'ended') opening = false;
          const [next, effects] = nextLink(state, event);
          for (const effect of effects) {
            if (effect.kind === 'set-timer') timers.add(effect.timer);
            if (effect.kind === 'clear-timers') timers.clear();
            if (effect.kind === 'open') opening = true;
          }
          state = next;
          expect(opening || timers.size > 0, `stuck in ${state.phase}`).toBe(true);
          if (state.phase === 'live') expect(state.errorCode).toBeNull();
          if (state.phase === 'lost' || state.phase === 'refused' || state.phase === 'stalled') {
            expect(state.errorCode).not.toBeNull();
          }
        }
      }),
      { seed: SEED, numRuns: 1000 },
    );
  });
});

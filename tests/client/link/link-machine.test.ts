import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { IDLE_LINK, type LinkEvent, type LinkState, linkStep } from '../../../client/link/link-machine.ts';
import { FIRST_DELAY_MS, LONGEST_DELAY_MS, reconnectDelayMs } from '../../../client/link/reconnect-delay.ts';

function run(events: readonly LinkEvent[], from: LinkState = IDLE_LINK) {
  let state = from;
  const effects: string[] = [];
  for (const event of events) {
    const [next, caused] = linkStep(state, event);
    state = next;
    effects.push(...caused.map(({ type }) => type));
  }
  return { state, effects };
}

describe('the connection to the program', () => {
  test('a lost connection is tried again for ever, each wait within its bounds', () => {
    let state = run([{ type: 'start' }]).state;
    for (let attempt = 0; attempt < 5_000; attempt++) {
      const [waiting, effects] = linkStep(state, { type: 'closed', chance: (attempt % 10) / 10 });
      const wait = effects[0]!;
      expect(wait.type).toBe('wait');
      if (wait.type === 'wait') {
        expect(wait.delayMs).toBeGreaterThanOrEqual(FIRST_DELAY_MS / 2);
        expect(wait.delayMs).toBeLessThanOrEqual(LONGEST_DELAY_MS);
      }
      const [connecting, again] = linkStep(waiting, { type: 'wait-over' });
      expect(again).toEqual([{ type: 'connect' }]);
      state = connecting;
    }
  });

  test('the wait doubles, half of it by chance, and a message starts it from the beginning', () => {
    expect(reconnectDelayMs(0, 1)).toBe(FIRST_DELAY_MS);
    expect(reconnectDelayMs(2, 1)).toBe(4 * FIRST_DELAY_MS);
    expect(reconnectDelayMs(2, 0)).toBe(2 * FIRST_DELAY_MS);
    const { state } = run([
      { type: 'start' },
      { type: 'closed', chance: 0 },
      { type: 'wait-over' },
      { type: 'closed', chance: 0 },
      { type: 'wait-over' },
      { type: 'message' },
    ]);
    expect(state).toEqual({ phase: 'open', attempt: 0 });
  });

  test('a page that is looked at again does not wait any longer', () => {
    const { state, effects } = run([{ type: 'start' }, { type: 'closed', chance: 0.5 }, { type: 'wake' }]);
    expect(state.phase).toBe('connecting');
    expect(effects).toEqual(['connect', 'wait', 'cancel-wait', 'connect']);
  });

  test('looking at a page whose connection is good changes nothing', () => {
    const { effects } = run([{ type: 'start' }, { type: 'message' }, { type: 'wake' }, { type: 'start' }]);
    expect(effects).toEqual(['connect']);
  });

  test('a socket that looks open but is dead is dropped and made anew', () => {
    const { state, effects } = run([{ type: 'start' }, { type: 'message' }, { type: 'silent' }]);
    expect(effects).toEqual(['connect', 'drop', 'connect']);
    expect(state.phase).toBe('connecting');
  });

  test('whatever happens in whatever order there is one connection or one wait at most (seed 8)', () => {
    const event = fc.oneof(
      fc.constantFrom<LinkEvent>(
        { type: 'start' },
        { type: 'message' },
        { type: 'wait-over' },
        { type: 'wake' },
        { type: 'silent' },
      ),
      fc.double({ min: 0, max: 1, noNaN: true }).map((chance): LinkEvent => ({ type: 'closed', chance })),
    );
    fc.assert(
      fc.property(fc.array(event, { maxLength: 60 }), (events) => {
        let state = IDLE_LINK;
        let sockets = 0;
        let waits = 0;
        for (const each of events) {
          // A socket closes and a wait ends only when there is one.
          if (each.type === 'closed' && sockets === 0) continue;
          if (each.type === 'wait-over' && waits === 0) continue;
          if (each.type === 'closed') sockets--;
          if (each.type === 'wait-over') waits--;
          const [next, effects] = linkStep(state, each);
          state = next;
          for (const effect of effects) {
            if (effect.type === 'connect') sockets++;
            if (effect.type === 'drop') sockets--;
            if (effect.type === 'wait') waits++;
            if (effect.type === 'cancel-wait') waits--;
          }
          expect(sockets + waits).toBe(state.phase === 'idle' ? 0 : 1);
        }
      }),
      { seed: 8 },
    );
  });
});

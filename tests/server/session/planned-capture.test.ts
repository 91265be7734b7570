import Schema from 'typebox/schema';
import { describe, expect, test } from 'vitest';
import { PlannedCapture } from '../../../server/contract/captures.ts';
import {
  HOLDS_S,
  LEAST_S,
  MOST_S,
  newPlan,
  type PlanSeen,
  planView,
  stepPlan,
} from '../../../server/session/planned-capture.ts';
import { HandSource, sessionBench } from './session-bench.ts';

const STEADY: PlanSeen = {
  timeS: 10,
  known: true,
  settling: 'steady',
  verdict: 'outside',
  toleranceKpa: 1,
  captureExpandedKpa: null,
};

/** Steps every 0.1 s through what is seen, and tells when the capture was started and ended [s]. */
function play(when: 'steady' | 'equal', seenAt: (timeS: number) => Partial<PlanSeen>, toS: number) {
  let state = newPlan({ label: 'after', when });
  const happened: { what: string; timeS: number }[] = [];
  for (let tenth = 0; tenth <= toS * 10; tenth++) {
    const seen = { ...STEADY, timeS: tenth / 10, ...seenAt(tenth / 10) };
    const [next, what] = stepPlan(state, seen);
    state = next;
    expect(Schema.Check(PlannedCapture, planView(state, seen))).toBe(true);
    if (what !== null) happened.push({ what, timeS: tenth / 10 });
    if (what === 'stop') break;
  }
  return { happened, state };
}

describe('a planned capture', () => {
  test('starts when it has been steady for a while and counts down to it', () => {
    const { happened } = play('steady', (timeS) => ({ settling: timeS < 4 ? 'moving' : 'steady' }), 8);
    expect(happened).toEqual([{ what: 'start', timeS: 4 + HOLDS_S }]);
    const [waiting] = stepPlan(newPlan({ label: 'before', when: 'steady' }), STEADY);
    expect(planView(waiting, { ...STEADY, timeS: 10.5 }).startsInS).toBeCloseTo(HOLDS_S - 0.5, 9);
    expect(planView(newPlan({ label: 'before', when: 'steady' }), STEADY).startsInS).toBeNull();
  });

  test('a moment of moving starts the wait anew, and so does a reading that is lost', () => {
    const { happened } = play(
      'steady',
      (timeS) => (timeS > 1.4 && timeS < 1.6 ? { settling: 'moving' } : {}),
      5,
    );
    expect(happened[0]!.timeS).toBeCloseTo(1.6 + HOLDS_S, 6);
    expect(play('steady', () => ({ known: false }), 20).happened).toEqual([]);
  });

  test('for "equal" it waits until all are equal as well', () => {
    expect(play('equal', () => ({}), 20).happened).toEqual([]);
    const { happened } = play('equal', (timeS) => ({ verdict: timeS < 9 ? 'not-sure' : 'inside' }), 20);
    expect(happened[0]).toEqual({ what: 'start', timeS: 9 + HOLDS_S });
  });

  test('ends as soon as its interval is a quarter of the tolerance, but not before it is a capture', () => {
    const sureFrom = (fromS: number) => (timeS: number) => ({
      captureExpandedKpa: timeS < fromS ? 0.3 : 0.25,
    });
    expect(play('steady', sureFrom(20), 90).happened[1]).toEqual({ what: 'stop', timeS: 20 });
    expect(play('steady', sureFrom(0), 90).happened[1]).toEqual({ what: 'stop', timeS: HOLDS_S + LEAST_S });
  });

  test('ends after a minute at the latest', () => {
    expect(play('steady', () => ({ captureExpandedKpa: 0.9 }), 90).happened[1]).toEqual({
      what: 'stop',
      timeS: HOLDS_S + MOST_S,
    });
  });
});

describe('in the session', () => {
  const running = (messages: ReturnType<typeof sessionBench>) =>
    messages.ofType('update').at(-1)?.plannedCapture ?? null;

  async function steadyBench() {
    const bench = sessionBench();
    const source = new HandSource('serial');
    bench.session.useSource(source);
    await bench.clock.advance(10);
    const go = async (seconds: number) => {
      for (let at = 0; at < seconds * 25; at++) {
        source.samples(20);
        await bench.clock.advance(40);
      }
    };
    await go(0.2);
    return { ...bench, source, go };
  }

  test('it starts, shows how far it is, and is stored when it has ended', async () => {
    const bench = await steadyBench();
    expect(bench.session.planCapture({ label: 'after', when: 'equal' }).ok).toBe(true);
    await bench.go(1);
    expect(running(bench)).toMatchObject({ phase: 'waiting', label: 'after' });
    expect(bench.session.captures).toEqual([]);
    await bench.go(2);
    expect(running(bench)).toMatchObject({ phase: 'recording', expandedKpa: 0.1, sureAtKpa: 0.25 });
    await bench.go(5);
    expect(running(bench)).toBeNull();
    expect(bench.session.captures).toMatchObject([{ label: 'after', state: 'complete' }]);
  });

  test('it is called off, gives way to a capture by hand, and does not outlive one that was stopped', async () => {
    const bench = await steadyBench();
    bench.session.planCapture({ label: 'before', when: 'steady' });
    bench.session.dropPlan();
    await bench.go(4);
    expect(bench.session.captures).toEqual([]);
    bench.session.planCapture({ label: 'before', when: 'steady' });
    const byHand = bench.session.startCapture('between');
    await bench.go(0.2);
    expect(running(bench)).toBeNull();
    if (byHand.ok) bench.session.stopCapture(byHand.value.id);
    bench.session.planCapture({ label: 'before', when: 'steady' });
    await bench.go(3);
    const [capture] = bench.session.captures;
    bench.session.stopCapture(capture!.id);
    await bench.go(4);
    expect(bench.session.captures.map(({ state }) => state)).toEqual(['complete', 'complete']);
    expect(bench.session.planCapture({ label: 'before', when: 'steady' }).ok).toBe(true);
  });

  test('without a board, or while one runs, nothing is planned', async () => {
    expect(sessionBench().session.planCapture({ label: 'before', when: 'steady' })).toMatchObject({
      code: 'capture-needs-board',
    });
    const bench = await steadyBench();
    bench.session.startCapture('before');
    expect(bench.session.planCapture({ label: 'after', when: 'equal' })).toMatchObject({
      code: 'capture-running',
    });
  });
});

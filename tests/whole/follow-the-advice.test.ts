import { expect, test } from 'vitest';
import { PracticeSource } from '../../server/board/practice-source.ts';
import type { Update } from '../../server/contract/live.ts';
import type { PracticePatch, PracticeState } from '../../server/contract/practice.ts';
import type { Setup } from '../../server/contract/setup.ts';
import { LOOPBACK_RULE } from '../../server/http/allowed-hosts.ts';
import { buildApp } from '../../server/http/build-app.ts';
import { LiveHub } from '../../server/live/live-hub.ts';
import { Random } from '../../server/practice/random.ts';
import { channelScalesFor } from '../../server/session/channel-scales.ts';
import { MeasuringSession } from '../../server/session/measuring-session.ts';
import { newInstrument } from '../../server/session/new-instrument.ts';
import { GO_RAISED_SENTENCE } from '../../server/signal/advice/two-points.ts';
import { ManualClock } from '../server/manual-clock.ts';
import { MemoryCaptureStore } from '../server/session/memory-capture-store.ts';
import { understood } from '../server/signal/advice/sloppy-hand.ts';

const HOST = { host: '127.0.0.1:4350' };
const LOOK_MS = 200;
/** A sentence is acted on when it has stood this long, and longer when something was turned just before [ms]. */
const READ_MS = 600;
const SETTLE_MS = 3_000;
const MOST_MOVES = 12;
const SLOPPINESS = 0.3;
/** As the panel's button holds it. */
const RAISED_THROTTLE = 0.09;
/** Truth is taken over this long before the end [s]. */
const TRUTH_S = 4;

/** Practice engine, board, link, session and routes on a clock that the test turns. */
async function workshop(layout: string, seed: number, setup: Partial<Setup>) {
  const clock = new ManualClock();
  const source = new PracticeSource({ clock, layout, seed });
  const store = new MemoryCaptureStore();
  const session = new MeasuringSession({
    clock,
    store,
    setup: null,
    softwareVersion: '1.2.3',
    publish: () => {},
    saveSetup: () => {},
    log: () => {},
    scalesFor: (identity) => channelScalesFor(identity),
    newInstrument,
  });
  session.useSource(source);
  const hub = new LiveHub({
    clock,
    serverStartId: 'start-1',
    softwareVersion: '1.2.3',
    snapshot: () => {
      throw new Error('Nobody looks on');
    },
    onTrouble: () => {},
  });
  const app = await buildApp({
    session,
    visit: async () => null,
    store,
    hub,
    practice: source.panel,
    hosts: LOOPBACK_RULE,
    facts: { softwareVersion: '1.2.3', serverStartId: 'start-1', uptimeS: () => 1 },
    clientFolder: null,
  });
  const patch = async <T>(url: string, payload: object): Promise<T> => {
    const answer = await app.inject({ method: 'PATCH', url, headers: HOST, payload });
    expect(answer.statusCode, answer.body).toBe(200);
    return answer.json() as T;
  };
  await clock.advance(200);
  await patch('/api/setup', setup);
  return {
    bench: source.bench,
    change: (wanted: PracticePatch) => patch<PracticeState>('/api/practice', wanted),
    state: () => source.practiceState(),
    async look(): Promise<Update> {
      await clock.advance(LOOK_MS);
      return session.update!;
    },
    async close(): Promise<void> {
      await session.stop();
      await app.close();
    },
  };
}

type Workshop = Awaited<ReturnType<typeof workshop>>;

/** A hand that does what the sentence says, a third out, until all is equal or it has had enough. */
async function balance(
  { change, state, look }: Workshop,
  random: Random,
): Promise<{ update: Update; story: string; moves: number }> {
  const names = state().balanceScrews.map(
    ({ name, what }) => `the ${what === 'balance screw' ? 'screw' : what} ${name}`,
  );
  const lastTurns = names.map(() => 0);
  const sentences: string[] = [];
  let heard: string | null = null;
  let heardMs = 0;
  let dueMs = READ_MS;
  let moves = 0;
  let update = await look();
  const acted = () => {
    heardMs = 0;
    dueMs = SETTLE_MS;
  };
  for (let quietMs = 0; quietMs < 60_000 && moves < MOST_MOVES; quietMs += LOOK_MS) {
    update = await look();
    const { advice } = update;
    heardMs = advice!.sentence === heard ? heardMs + LOOK_MS : 0;
    heard = advice!.sentence;
    if (heard === null || heardMs < dueMs) continue;
    sentences.push(heard);
    quietMs = 0;
    if (advice!.state === 'equal') break;
    if (advice!.state === 'other-point') {
      await change({ heldThrottle: heard === GO_RAISED_SENTENCE ? RAISED_THROTTLE : 0 });
      acted();
      continue;
    }
    const told = understood(heard, names)!;
    // The sentence and its data name the same screw, and it is one that is on the panel.
    expect(advice!.move).toMatchObject({ screw: told.screw + 1, screwName: names[told.screw] });
    const little = (random.uniform() < 0.5 ? -1 : 1) * (0.15 + 0.15 * random.uniform());
    const base =
      told.fraction === null || lastTurns[told.screw] === 0 ? little : told.fraction * lastTurns[told.screw]!;
    const turns = base * (1 + SLOPPINESS * (2 * random.uniform() - 1));
    await change(turned(state(), told.screw, turns));
    lastTurns[told.screw] = turns;
    moves++;
    acted();
  }
  return { update, story: sentences.join('\n'), moves };
}

function turned({ balanceScrews }: PracticeState, screw: number, turns: number): PracticePatch {
  return { balanceScrewTurns: balanceScrews.map((one, at) => one.turns + (at === screw ? turns : 0)) };
}

/** How far the furthest cylinder truly is from the mean of all, over whole cycles of the last seconds [kPa]. */
function worstTrueGapKpa({ bench }: Workshop): number {
  const vacuums = Array.from({ length: bench.cylinders }, (_, cyl) => {
    // Whole cycles, or a part of a pulse would be in it.
    const own = bench.trueCycles.filter(
      (cycle) => cycle.cyl === cyl && cycle.startS >= bench.timeS - TRUTH_S,
    );
    return -bench.truthMeanKpa(cyl, own[0]!.startS, own.at(-1)!.endS);
  });
  const mean = vacuums.reduce((sum, value) => sum + value, 0) / vacuums.length;
  return Math.max(...vacuums.map((vacuum) => Math.abs(vacuum - mean)));
}

/** Lets the engine run on as it is. */
async function wait({ look }: Workshop, seconds: number): Promise<Update> {
  let update = await look();
  for (let at = 1; at < (seconds * 1000) / LOOK_MS; at++) update = await look();
  return update;
}

/** Tolerance of 1 kPa; the engine's own scatter over so few cycles is about 0.2 kPa. */
const TRUE_WITHIN_KPA = 1.3;

test.each([['twin-180', 7]])(
  '%s, out of adjustment by chance (seed %i), is balanced by a hand that does as it is told, a third out',
  async (layout, seed) => {
    const random = new Random(seed);
    const shop = await workshop(layout, seed, { toleranceKpa: 1 });
    for (const screw of shop.state().balanceScrews.keys())
      await shop.change(
        turned(shop.state(), screw, (random.uniform() < 0.5 ? -1 : 1) * (0.3 + 0.5 * random.uniform())),
      );
    const { update, story, moves } = await balance(shop, random);
    console.log(`${layout}, seed ${seed}: ${moves} moves\n${story}`);
    expect(update.advice!.state, story).toBe('equal');
    expect(update.verdict, story).toBe('inside');
    expect(worstTrueGapKpa(shop), story).toBeLessThan(TRUE_WITHIN_KPA);
    await shop.close();
  },
);

test.each([['twin-180-cables', 3]])(
  '%s, stops and cables out of adjustment (seed %i), is balanced at idle and at a raised speed',
  async (layout, seed) => {
    const random = new Random(seed);
    const shop = await workshop(layout, seed, {
      cylinders: 2,
      toleranceKpa: 1,
      idleTargetRpm: 1050,
      linkage: { kind: 'stops-and-cables' },
    });
    await wait(shop, 3);
    const idleBefore = worstTrueGapKpa(await settled(shop, 0));
    const raisedBefore = worstTrueGapKpa(await settled(shop, RAISED_THROTTLE));
    await settled(shop, 0);
    // What the stops need is not what the cables need.
    expect(Math.min(idleBefore, raisedBefore)).toBeGreaterThan(TRUE_WITHIN_KPA);
    const { update, story, moves } = await balance(shop, random);
    console.log(`${layout}, seed ${seed}: ${moves} moves\n${story}`);
    expect(update.advice!.state, story).toBe('equal');
    expect(update.advice!.points, story).toMatchObject([
      { id: 'idle', equal: true },
      { id: 'raised', equal: true },
    ]);
    expect(story).toMatch(/stop screw of cylinder/);
    expect(story).toMatch(/cable adjuster of cylinder/);
    const idle = worstTrueGapKpa(await settled(shop, 0));
    const raised = worstTrueGapKpa(await settled(shop, RAISED_THROTTLE));
    console.log(
      `truly at idle ${idleBefore.toFixed(2)} -> ${idle.toFixed(2)} kPa, raised ${raisedBefore.toFixed(2)} -> ${raised.toFixed(2)} kPa`,
    );
    expect(idle, story).toBeLessThan(TRUE_WITHIN_KPA);
    expect(raised, story).toBeLessThan(TRUE_WITHIN_KPA);
    await shop.close();
  },
);

/** With the throttle held so, and time for its speed and for the truth. */
async function settled(shop: Workshop, heldThrottle: number): Promise<Workshop> {
  await shop.change({ heldThrottle });
  await wait(shop, TRUTH_S + 3);
  return shop;
}

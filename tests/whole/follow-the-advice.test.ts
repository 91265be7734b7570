import { expect, test } from 'vitest';
import { PracticeSource } from '../../server/board/practice-source.ts';
import type { PracticePatch } from '../../server/contract/http.ts';
import type { PracticeState, Setup, Update } from '../../server/contract/live.ts';
import { hostRule } from '../../server/http/allowed-hosts.ts';
import { buildApp } from '../../server/http/build-app.ts';
import { LiveHub } from '../../server/live/live-hub.ts';
import { Random } from '../../server/practice/random.ts';
import { channelScalesFor } from '../../server/session/channel-scales.ts';
import { MeasuringSession } from '../../server/session/measuring-session.ts';
import { newInstrument } from '../../server/session/new-instrument.ts';
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
    hosts: hostRule(),
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

test.each([['twin-180', 7]])(
  '%s, out of adjustment by chance (seed %i), is balanced by a hand that does as it is told, a third out',
  async (layout, seed) => {
    const random = new Random(seed);
    const { bench, change, state, look, close } = await workshop(layout, seed, { toleranceKpa: 1 });
    const names = state().balanceScrews.map(({ name }) => `the screw ${name}`);
    const lastTurns = names.map(() => 0);
    const sentences: string[] = [];
    const turn = (screw: number, turns: number) =>
      change({
        balanceScrewTurns: state().balanceScrews.map((one, at) => one.turns + (at === screw ? turns : 0)),
      });
    for (const screw of names.keys())
      await turn(screw, (random.uniform() < 0.5 ? -1 : 1) * (0.3 + 0.5 * random.uniform()));

    let heard: string | null = null;
    let heardMs = 0;
    let dueMs = READ_MS;
    let moves = 0;
    let update = await look();
    for (let quietMs = 0; quietMs < 60_000 && moves < MOST_MOVES; quietMs += LOOK_MS) {
      update = await look();
      const { advice } = update;
      heardMs = advice!.sentence === heard ? heardMs + LOOK_MS : 0;
      heard = advice!.sentence;
      if (heard === null || heardMs < dueMs) continue;
      sentences.push(heard);
      if (advice!.state === 'equal') break;
      const told = understood(heard, names)!;
      // The sentence and its data name the same screw, and it is one that is on the panel.
      expect(advice!.move).toMatchObject({ screw: told.screw + 1, screwName: names[told.screw] });
      const little = (random.uniform() < 0.5 ? -1 : 1) * (0.15 + 0.15 * random.uniform());
      const base =
        told.fraction === null || lastTurns[told.screw] === 0
          ? little
          : told.fraction * lastTurns[told.screw]!;
      const turns = base * (1 + SLOPPINESS * (2 * random.uniform() - 1));
      await turn(told.screw, turns);
      lastTurns[told.screw] = turns;
      moves++;
      quietMs = 0;
      heardMs = 0;
      dueMs = SETTLE_MS;
    }
    const story = sentences.join('\n');
    console.log(`${layout}, seed ${seed}: ${moves} moves\n${story}`);
    expect(update.advice!.state, story).toBe('equal');
    expect(update.verdict, story).toBe('inside');
    const vacuums = update.cylinders.map((_, cyl) => {
      // Whole cycles, or a part of a pulse would be in it.
      const own = bench.trueCycles.filter(
        (cycle) => cycle.cyl === cyl && cycle.startS >= bench.timeS - TRUTH_S,
      );
      return -bench.truthMeanKpa(cyl, own[0]!.startS, own.at(-1)!.endS);
    });
    const mean = vacuums.reduce((sum, value) => sum + value, 0) / vacuums.length;
    // The engine's own scatter over so few cycles is about 0.2 kPa.
    for (const vacuum of vacuums) expect(Math.abs(vacuum - mean), story).toBeLessThan(1.3);
    await close();
  },
);

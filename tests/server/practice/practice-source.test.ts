import { describe, expect, it } from 'vitest';
import type { IdentityLine, SampleLine } from '../../../firmware-protocol/lines.ts';
import type { StreamEnd } from '../../../server/board/byte-source.ts';
import { LinkRunner } from '../../../server/board/link-runner.ts';
import { PracticeSource } from '../../../server/board/practice-source.ts';
import type { PracticeState } from '../../../server/contract/practice.ts';
import { ManualClock } from '../manual-clock.ts';

function listened(clock: ManualClock) {
  const states: PracticeState[] = [];
  const source = new PracticeSource({ clock, onPracticeState: (state) => states.push(state) });
  const samples: SampleLine[] = [];
  const identities: IdentityLine[] = [];
  const counters: string[] = [];
  const ambientPa: (number | null)[] = [];
  let breaks = 0;
  const runner = new LinkRunner(
    source,
    {
      onLinkState() {},
      onIdentified: (line) => identities.push(line),
      onSample: (line) => samples.push(line),
      onAmbient: (line) => ambientPa.push(line.pressurePa),
      onNotice() {},
      onBreak: () => breaks++,
      onCount: (counter) => counters.push(counter),
      onTrouble() {},
    },
    clock,
  );
  return { source, runner, states, samples, identities, counters, ambientPa, breaks: () => breaks };
}

describe('PracticeSource', () => {
  it('is found, identified and measured through the same link as a real board', async () => {
    const clock = new ManualClock();
    const heard = listened(clock);
    heard.runner.start();
    await clock.advance(3_000);
    expect(heard.runner.state.phase).toBe('live');
    expect(heard.identities).toHaveLength(1);
    expect(heard.samples.length).toBeGreaterThan(1_450);
    expect(heard.ambientPa[0]).toBe(100_600);
    expect(heard.counters).toEqual(['opens']);
    await heard.runner.stop();
    expect(clock.pending).toBe(0);
  });

  it('gives the engine back as it was after closing and opening', async () => {
    const clock = new ManualClock();
    const heard = listened(clock);
    heard.runner.start();
    await clock.advance(1_000);
    heard.source.applyPracticePatch({ balanceScrewTurns: [0.5] });
    await heard.runner.stop();
    const standingS = heard.source.bench.timeS;
    await clock.advance(3_600_000);
    expect(heard.source.bench.timeS).toBe(standingS);
    const again = listened(clock);
    const runner = new LinkRunner(heard.source, silent(again.samples), clock);
    runner.start();
    await clock.advance(1_000);
    expect(again.samples.length).toBeGreaterThan(450);
    expect(heard.source.practiceState().balanceScrews[0]!.turns).toBe(0.5);
    await runner.stop();
  });

  it('changes the engine under a live link: another identity, and a break before its samples', async () => {
    const clock = new ManualClock();
    const heard = listened(clock);
    heard.runner.start();
    await clock.advance(1_000);
    const outcome = heard.source.applyPracticePatch({ layout: 'flat-six', idleScrewTurns: 5 });
    expect(outcome).toMatchObject({ ok: true, value: { layout: 'flat-six', idleScrewTurns: 5 } });
    await clock.advance(1_000);
    expect(heard.identities.map((line) => line.sensorTypes.length)).toEqual([2, 6]);
    expect(heard.breaks()).toBe(1);
    expect(heard.samples.at(-1)!.counts).toHaveLength(6);
    const firstOfSix = heard.samples.findIndex((line) => line.counts.length === 6);
    expect(heard.samples.slice(firstOfSix).every((line) => line.counts.length === 6)).toBe(true);
    await heard.runner.stop();
  });

  it('refuses a bad patch with a sentence and changes nothing of it', () => {
    const source = new PracticeSource({ clock: new ManualClock() });
    const before = source.practiceState();
    expect(source.applyPracticePatch({ idleScrewTurns: 3, leakMm: [1, 2, 3] })).toEqual({
      ok: false,
      code: 'practice-bad-setting',
      detail: 'The Parallel twin, 180° crank has 2 cylinders: give one value for each, not 3.',
    });
    expect(source.panel.change({ layout: 'w-twelve' }).ok).toBe(false);
    expect(source.practiceState()).toEqual(before);
  });

  it('tells when the engine stalls by itself and when it runs again', async () => {
    const clock = new ManualClock();
    const heard = listened(clock);
    heard.runner.start();
    await clock.advance(500);
    heard.source.applyPracticePatch({ idleScrewTurns: -5 });
    await clock.advance(8_000);
    expect(heard.states.map((state) => state.running)).toEqual([true, false]);
    heard.source.applyPracticePatch({ idleScrewTurns: 4.5, running: true });
    await clock.advance(4_000);
    expect(heard.states.at(-1)!.running).toBe(true);
    expect(heard.source.bench.engine.speedRpm).toBeGreaterThan(700);
    await heard.runner.stop();
  });

  it('blips the engine', async () => {
    const clock = new ManualClock();
    const heard = listened(clock);
    heard.runner.start();
    await clock.advance(500);
    heard.source.panel.blip();
    await clock.advance(600);
    expect(heard.source.bench.engine.speedRpm).toBeGreaterThan(1_800);
    await heard.runner.stop();
  });

  it('can be opened once at a time and closes exactly once', async () => {
    const clock = new ManualClock();
    const source = new PracticeSource({ clock });
    const ends: StreamEnd[] = [];
    const handlers = { onBytes() {}, onClose: (end: StreamEnd) => ends.push(end) };
    const first = await source.open(handlers);
    expect(await source.open(handlers)).toMatchObject({ ok: false, end: { code: 'source-in-use' } });
    if (!first.ok) throw new Error('did not open');
    await first.stream.close();
    await first.stream.close();
    first.stream.write('i*FFFF\n');
    expect(ends).toHaveLength(1);
    expect((await source.open(handlers)).ok).toBe(true);
  });

  it('does not replay a night of sleep', async () => {
    const clock = new ManualClock();
    const source = new PracticeSource({ clock });
    let bytes = 0;
    let asleepMs = 0;
    const sleeper = Object.assign(Object.create(clock) as ManualClock, {
      nowMs: () => clock.nowMs() + asleepMs,
      every: (intervalMs: number, call: () => void) => clock.every(intervalMs, call),
    });
    const sleeping = new PracticeSource({ clock: sleeper });
    await sleeping.open({ onBytes: (chunk) => (bytes += chunk.length), onClose() {} });
    await clock.advance(1_000);
    const perSecond = bytes;
    asleepMs = 10 * 3_600_000;
    await clock.advance(1_000);
    expect(bytes - perSecond).toBeLessThan(1.6 * perSecond);
    expect(source.practiceState().running).toBe(true);
  });
});

function silent(samples: SampleLine[]) {
  return {
    onLinkState() {},
    onIdentified() {},
    onSample: (line: SampleLine) => samples.push(line),
    onAmbient() {},
    onNotice() {},
    onBreak() {},
    onCount() {},
    onTrouble() {},
  };
}

describe('the practice sensors', () => {
  it('make a board of its own when they are as bought, and the exact one again afterwards', async () => {
    const clock = new ManualClock();
    const heard = listened(clock);
    heard.runner.start();
    await clock.advance(500);
    heard.source.applyPracticePatch({ sensors: 'as-bought' });
    await clock.advance(500);
    expect(heard.runner.state.phase).toBe('live');
    expect(heard.identities.at(-1)?.boardId).toBe('practice-bought2');
    heard.source.applyPracticePatch({ layout: 'flat-six' });
    await clock.advance(500);
    expect(heard.identities.at(-1)?.boardId).toBe('practice-bought6');
    heard.source.applyPracticePatch({ sensors: 'exact' });
    await clock.advance(500);
    expect(heard.identities.at(-1)?.boardId).toBe('practice');
    await heard.runner.stop();
  });
});

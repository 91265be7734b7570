import Schema from 'typebox/schema';
import { describe, expect, it } from 'vitest';
import { CheckResult, CheckState } from '../../../../server/contract/checks.ts';
import { checkGuide } from '../../../../server/session/checks/check-guide.ts';
import { spotCylinder } from '../../../../server/session/checks/spot-cylinder.ts';
import { deskBench } from './desk-bench.ts';

describe('the check desk', () => {
  it('leads through a spot test and finds the spot that leaks on the practice engine', async () => {
    const { desk, start, obey, store } = deskBench({ controls: { leakMm: [0, 1.2], mismatchTurns: [0, 0] } });
    expect((await start({ kind: 'spot', spots: ['boot 1', 'boot 2'], repeats: 2 })).ok).toBe(true);
    const { running } = desk.state();
    expect(running).toMatchObject({ kind: 'spot', steps: 6, step: 0, practice: true });
    const result = obey(120);
    expect(result.rows.map(({ name, verdict }) => [name, verdict])).toEqual([
      ['boot 1', 'not-found'],
      ['boot 2', 'found'],
    ]);
    expect(result.verdict).toBe('found');
    expect(result.summary).toContain('boot 2');
    expect(store.kept).toEqual([result]);
    expect(Schema.Check(CheckResult, result)).toBe(true);
    expect(Schema.Check(CheckState, desk.state())).toBe(true);
  });

  it('leads through a cylinder drop and finds the dead one, the engine stalling or not', async () => {
    const { start, obey } = deskBench({
      layout: 'triple-120',
      controls: { missedFiring: [0, 1, 0], idleTurns: 6 },
    });
    await start({ kind: 'drop' });
    const result = obey(90);
    expect(result.rows.map(({ verdict }) => verdict)).toEqual(['not-found', 'found', 'not-found']);
    expect(result.rows[0]!.figures[0]).toMatchObject({ unit: 'r/min' });
  });

  it('sees the blips by itself and finds the torn diaphragm; the result serves a later visit', async () => {
    const { bench, desk, start, go } = deskBench({ controls: { tornDiaphragm: [false, true] } });
    const blips = async (earlierId?: string) => {
      await start({ kind: 'blip', ...(earlierId === undefined ? {} : { earlierId }) });
      for (let at = 0; at < 40 && desk.state().running !== null; at++) {
        go(1);
        if (desk.state().running?.leftS === 0) bench.blip(0.4);
      }
      return desk.state().result!;
    };
    const first = await blips();
    expect(first.rows.map(({ verdict }) => verdict)).toEqual(['not-found', 'found']);
    expect(first.blipShares).toHaveLength(2);
    const later = await blips(first.id);
    expect(later.rows.map(({ verdict }) => verdict)).toEqual(['not-found', 'not-found']);
    expect((await start({ kind: 'blip', earlierId: 'no such' })).ok).toBe(false);
  });

  it('finds that a part does not hold, and that another does', async () => {
    for (const [leakMm, verdict] of [
      [0.06, 'found'],
      [0, 'not-found'],
    ] as const) {
      const { bench, desk, start, go } = deskBench();
      await start({ kind: 'hold', channel: 2, limitKpa: 2, limitS: 20 });
      bench.vessel.vacuumKpa = 0;
      go(2);
      expect(desk.state().running!.instruction).toContain('Pump');
      bench.vessel.vacuumKpa = 50;
      go(3);
      expect(desk.state().running!.figures[0]!.value).toBeCloseTo(50, 0);
      bench.vessel.leakMm = leakMm;
      go(24);
      expect(desk.state().result!.verdict, `hole of ${leakMm} mm`).toBe(verdict);
    }
  });

  it('checks the sensors key-off, the cylinders on the starter and the idle', async () => {
    const { bench, desk, start, go } = deskBench({ controls: { missedFiring: [0, 0] } });
    await start({ kind: 'idle-quality', watchS: 12 });
    go(13);
    const idle = desk.state().result!;
    expect(idle.summary).toContain('our own score');
    expect(idle.picture!.timeS.length).toBeGreaterThan(60);
    expect(idle.picture!.speedRpm).toHaveLength(idle.picture!.timeS.length);
    bench.setRunning(false);
    go(4);
    await start({ kind: 'key-off' });
    go(3.5);
    expect(desk.state().result!.verdict).toBe('not-found');
    await start({ kind: 'cranking' });
    bench.crank(true);
    go(9);
    expect(desk.state().result!.rows.map(({ verdict }) => verdict)).toEqual(['not-found', 'not-found']);
  });

  it('tells a linkage from two openings', async () => {
    const { bench, desk, start, go } = deskBench({
      layout: 'triple-120',
      controls: { mismatchTurns: [0, 1, 0], idleTurns: 5, heldRpm: 1050 },
    });
    await start({ kind: 'two-opening' });
    go(8.5);
    desk.happen({ event: 'next' });
    // Twice the opening at twice the speed, in the same proportions.
    bench.controls.heldRpm = 2100;
    bench.controls.mismatchTurns = bench.controls.mismatchTurns.map((turns) => 2 * turns + 1 / 0.22 + 0.5);
    go(3);
    desk.happen({ event: 'next' });
    go(9);
    const { result } = desk.state();
    expect(result!.rows.map(({ verdict }) => verdict)).toEqual(['not-found', 'found', 'not-found']);
    expect(result!.summary).toContain('Linkage');
  });

  it('runs one at a time, refuses what does not fit and gives up without a result', async () => {
    const { desk, start, store } = deskBench();
    expect(await start({ kind: 'spot' })).toMatchObject({ ok: false, code: 'bad-request' });
    expect(await start({ kind: 'hold', channel: 5 })).toMatchObject({ ok: false, code: 'bad-request' });
    expect(await start({ kind: 'drop', order: [1, 4] })).toMatchObject({ ok: false, code: 'bad-request' });
    expect(await start({ kind: 'blip', visitId: 'gone' })).toMatchObject({
      ok: false,
      code: 'record-not-found',
    });
    expect(desk.happen({ event: 'down' })).toMatchObject({ ok: false, code: 'check-not-running' });
    expect((await start({ kind: 'blip', visitId: 'visit-1' })).ok).toBe(true);
    expect(await start({ kind: 'drop' })).toMatchObject({ ok: false, code: 'check-running' });
    expect(desk.discard()).toEqual({ running: null, result: null, notKept: null });
    expect(store.kept).toEqual([]);
  });

  it('puts the result on the named job or the one on the bench, never a practice result on a real one', async () => {
    for (const [setup, visitId, kept] of [
      [{ benchVisitId: 'visit-1' }, undefined, 'visit-1'],
      [{ benchVisitId: 'real' }, undefined, null],
      [{ benchVisitId: 'gone' }, undefined, null],
      [{ benchVisitId: 'visit-1' }, null, null],
      [{}, 'visit-1', 'visit-1'],
    ] as const) {
      const { desk, start, go } = deskBench({}, setup);
      await start({ kind: 'key-off', ...(visitId === undefined ? {} : { visitId }) });
      go(3.5);
      expect(desk.state().result!.visitId).toBe(kept);
    }
  });

  it('ends without a result when the samples stop, and says so', async () => {
    const { bench, desk, start, go, lose } = deskBench();
    await start({ kind: 'drop' });
    go(6);
    desk.happen({ event: 'down' });
    expect(bench.controls.sparkOff).toEqual([true, false]);
    lose();
    expect(desk.state()).toMatchObject({ running: null, result: null });
    expect(desk.state().notKept).toContain('cable');
    expect(bench.controls.sparkOff).toEqual([false, false]);
    expect(await start({ kind: 'drop' })).toMatchObject({ ok: false, code: 'check-needs-board' });
  });

  it('shows a result that could not be kept', async () => {
    const { desk, start, go, store } = deskBench();
    store.full = true;
    await start({ kind: 'key-off' });
    go(4);
    expect(desk.state().result!.verdict).toBe('cannot-tell');
    expect(desk.state().notKept).toContain('disk');
  });

  it('maps a press that was sent late to when it was made', async () => {
    const { desk, start, go } = deskBench();
    await start({ kind: 'spot', spots: ['a'], repeats: 1 });
    go(10);
    desk.happen({ event: 'down', agoS: 2 });
    go(0.1);
    // Held for the two seconds that it took to be told.
    expect(desk.state().running!.leftS).toBeCloseTo(6 - 2.1, 1);
  });

  it('knows the cylinder that a spot is named after', () => {
    expect(['boot 2', 'Cap of 4', 'air box', 'hose 12', null].map(spotCylinder)).toEqual([
      1,
      3,
      null,
      null,
      null,
    ]);
  });

  it('has a caution before everything that runs, sprays, sparks or pumps', () => {
    for (const { kind, cautions } of checkGuide().checks)
      expect(cautions.length > 0, kind).toBe(kind !== 'key-off');
  });
});

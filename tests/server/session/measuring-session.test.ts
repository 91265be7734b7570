import { Value } from 'typebox/value';
import { describe, expect, test } from 'vitest';
import { encodeLine } from '../../../firmware-protocol/encode-line.ts';
import { CaptureSummary } from '../../../server/contract/captures.ts';
import { LiveEvent, Pulses, SourceState, Update } from '../../../server/contract/live.ts';
import type { Setup } from '../../../server/contract/setup.ts';
import { BOARD, HandSource, sessionBench } from './session-bench.ts';

async function liveBench(setup: Partial<Setup> | null = {}, source = new HandSource()) {
  const bench = sessionBench(setup);
  bench.session.useSource(source);
  await bench.clock.advance(10);
  source.samples(5);
  return { ...bench, source };
}

describe('MeasuringSession', () => {
  test('joins board, pressure and measurement: rows arrive in kPa with growing time', async () => {
    const { instruments, session } = await liveBench();
    expect(session.source).toMatchObject({ link: 'live', boardId: 'bench-1', channels: 2, sentence: '' });
    expect(instruments[0]?.rows).toHaveLength(5);
    expect(instruments[0]?.rows[2]?.kpa).toEqual([0.3, 0.3]);
    const times = instruments[0]?.rows.map((row) => row.timeS) ?? [];
    expect(times[1]! - times[0]!).toBeCloseTo(0.002, 9);
  });

  test('channel delays come from the identity line', async () => {
    const { instruments } = await liveBench();
    expect(instruments[0]?.delaysS).toEqual([0, 0.0002]);
  });

  test('while live at least 20 updates a second are sent, and about 10 traces', async () => {
    const { clock, source, ofType } = await liveBench();
    const before = ofType('update').length;
    for (let step = 0; step < 20; step++) {
      source.samples(25);
      await clock.advance(50);
    }
    expect(ofType('update').length - before).toBeGreaterThanOrEqual(20);
    expect(ofType('pulses').length).toBeGreaterThanOrEqual(9);
    for (const message of ofType('update')) expect(Value.Check(Update, message)).toBe(true);
    for (const message of ofType('pulses')) expect(Value.Check(Pulses, message)).toBe(true);
    for (const message of ofType('event')) expect(Value.Check(LiveEvent, message)).toBe(true);
  });

  test('an update says how long ago its newest byte came', async () => {
    const { clock, source, session } = await liveBench();
    await clock.advance(25);
    source.samples(1);
    await clock.advance(15);
    expect(session.update?.lagMs).toBeGreaterThan(0);
    expect(session.update?.lagMs).toBeLessThanOrEqual(40);
  });

  test('a pulled cable blanks the screen at once and no update follows until it is back', async () => {
    const { clock, source, session, ofType } = await liveBench();
    await clock.advance(100);
    source.unplug();
    expect(session.update?.cylinders.map((cylinder) => cylinder.vacuumKpa)).toEqual([null, null]);
    expect(session.update?.spreadKpa).toBeNull();
    expect(session.source).toMatchObject({ link: 'lost', errorCode: 'source-unplugged' });
    expect(session.source.sentence).toContain('Put the cable back in');
    const count = ofType('update').length;
    await clock.advance(150);
    expect(ofType('update')).toHaveLength(count);
    await clock.advance(3_000);
    source.samples(3);
    await clock.advance(100);
    expect(session.source.link).toBe('live');
    expect(session.update?.spreadKpa).not.toBeNull();
  });

  test('time goes on over a replug by the time that passed here, although the board began anew', async () => {
    const { clock, source, instruments } = await liveBench();
    const lastS = instruments[0]!.rows.at(-1)!.timeS;
    source.unplug();
    await clock.advance(2_000);
    source.reset();
    source.samples(1);
    expect(instruments).toHaveLength(1);
    expect(instruments[0]!.rows.at(-1)!.timeS - lastS).toBeCloseTo(2, 1);
    expect(instruments[0]!.breaks).toBeGreaterThanOrEqual(1);
  });

  test('a few lost samples are filled in as missing and counted; many are a break', async () => {
    const { clock, source, session, instruments } = await liveBench();
    source.lose(3);
    source.samples(1);
    const rows = instruments[0]!.rows;
    expect(rows).toHaveLength(9);
    expect(rows.slice(5, 8).every((row) => row.kpa.every(Number.isNaN))).toBe(true);
    expect(rows.map((row) => row.timeS)).toEqual(rows.map((row) => row.timeS).toSorted((a, b) => a - b));
    expect(instruments[0]!.breaks).toBe(0);
    source.lose(500);
    source.samples(1);
    expect(instruments[0]!.breaks).toBe(1);
    await clock.advance(1);
    expect(session.source.counters['lost-samples']).toBe(503);
  });

  test('duplicates and late samples are counted and not measured', async () => {
    const { source, session, instruments } = await liveBench();
    const again = encodeLine({ kind: 'sample', sequence: 5, timeTicks: 10_000, counts: [1, 1] });
    const late = encodeLine({ kind: 'sample', sequence: 3, timeTicks: 6_000, counts: [1, 1] });
    source.say(again + late);
    expect(instruments[0]!.rows).toHaveLength(5);
    expect(session.source.counters).toMatchObject({ 'duplicate-samples': 1, 'late-samples': 1 });
  });

  test('a line with another number of channels is counted and not measured', async () => {
    const { source, session, instruments } = await liveBench();
    source.lose(1);
    source.say(
      encodeLine({ kind: 'sample', sequence: source.sequence, timeTicks: source.timeTicks, counts: [1] }),
    );
    expect(instruments[0]!.rows).toHaveLength(5);
    expect(session.source.counters['wrong-channel-count']).toBe(1);
  });

  test('a line with a count that no converter gives is counted and not measured', async () => {
    const { source, session, instruments } = await liveBench();
    const { fullScaleCounts } = source.identity;
    source.lose(1);
    const { sequence, timeTicks } = source;
    source.say(encodeLine({ kind: 'sample', sequence, timeTicks, counts: [fullScaleCounts + 1, 500] }));
    expect(instruments[0]!.rows).toHaveLength(5);
    expect(session.source.counters['above-full-scale']).toBe(1);
    source.say(encodeLine({ kind: 'sample', sequence, timeTicks, counts: [fullScaleCounts, 500] }));
    expect(instruments[0]!.rows).toHaveLength(6);
  });

  test('every kind of bad line has its counter', async () => {
    const { source, session } = await liveBench();
    source.say('S,6,12000,1,1*0000\nrubbish\n\x80\x81\n');
    expect(session.source.counters).toMatchObject({
      'wrong-checksum': 1,
      'no-checksum': 1,
      'not-text': 1,
    });
    source.say(encodeLine({ kind: 'notice', notice: 'brown-out', count: 1 }));
    expect(session.source.counters['board-brown-out']).toBe(1);
  });

  test('counters reach the screen within a second without a change of state', async () => {
    const { clock, source, ofType } = await liveBench();
    await clock.advance(1_100);
    source.samples(1);
    source.say('rubbish\n');
    await clock.advance(1_000);
    const last = ofType('event')
      .filter((event) => event.event === 'source')
      .at(-1)!;
    expect(last.source.counters['no-checksum']).toBe(1);
    expect(Value.Check(SourceState, last.source)).toBe(true);
  });

  test("the board's barometer is used until another pressure is chosen", async () => {
    const { source, session, saved } = await liveBench();
    source.say(encodeLine({ kind: 'ambient', pressurePa: 95_000, temperatureCelsius: 20 }));
    expect(session.setup).toMatchObject({ barometricKpa: 95, barometricFrom: 'board' });
    expect(saved).toEqual([]);
    source.say(encodeLine({ kind: 'ambient', pressurePa: 95_050, temperatureCelsius: 20 }));
    expect(session.setup.barometricKpa).toBe(95);
    expect(session.changeSetup({ barometricKpa: 97 }).ok).toBe(true);
    source.say(encodeLine({ kind: 'ambient', pressurePa: 99_000, temperatureCelsius: 20 }));
    expect(session.setup).toMatchObject({ barometricKpa: 97, barometricFrom: 'entered' });
    session.changeSetup({ barometricFrom: 'board' });
    expect(session.setup).toMatchObject({ barometricKpa: 99, barometricFrom: 'board' });
  });

  test('the barometric pressure can be read from still ports, and not from moving ones', async () => {
    const { source, session } = await liveBench();
    expect(session.changeSetup({ barometricFrom: 'key-off' })).toMatchObject({
      ok: false,
      code: 'key-off-needs-stopped-engine',
    });
    source.samples(900, () => [985, 987]);
    const still = session.changeSetup({ barometricFrom: 'key-off' });
    expect(still.ok && still.value.barometricKpa).toBeCloseTo(98.6, 6);
    source.samples(10, (n) => [n % 2 === 0 ? 400 : 900, 986]);
    expect(session.changeSetup({ barometricFrom: 'key-off' }).ok).toBe(false);
  });

  test('tolerance, reference and air pressure change without measuring afresh; cylinders and strokes do not', async () => {
    const { session, instruments } = await liveBench();
    session.changeSetup({ toleranceKpa: 2, reference: 2, barometricKpa: 99 });
    expect(instruments).toHaveLength(1);
    expect(instruments[0]!.terms).toMatchObject({ toleranceKpa: 2, reference: 1, barometricKpa: 99 });
    session.changeSetup({ strokes: 2 });
    expect(instruments).toHaveLength(2);
    session.changeSetup({ idleTargetRpm: 1000 });
    expect(instruments).toHaveLength(2);
    session.changeSetup({ cylinders: 1 });
    expect(instruments[2]!.setup).toMatchObject({ cylinders: 1, reference: 'mean', strokes: 2 });
  });

  test('until the person says how many cylinders there are, each channel has one', async () => {
    const source = new HandSource('serial', { ...BOARD, sensorTypes: ['a', 'b', 'c'] });
    const { clock, session, saved } = await liveBench(null, source);
    expect(session.setup.cylinders).toBe(3);
    expect(saved).toEqual([]);
    session.changeSetup({ cylinders: 2 });
    expect(saved).toHaveLength(1);
    session.useSource(new HandSource('practice', { ...BOARD, boardId: 'practice', sensorTypes: ['a'] }));
    await clock.advance(100);
    expect(session.setup.cylinders).toBe(1);
    session.useSource(new HandSource('serial', { ...BOARD, sensorTypes: ['a', 'b', 'c', 'd'] }));
    await clock.advance(100);
    expect(session.setup.cylinders).toBe(2);
  });

  test('where hardly any line arrives the person is told so within a second, and that it is over', async () => {
    const { clock, source, session, ofType } = await liveBench();
    const told = () => {
      const newest = ofType('event').findLast((message) => message.event === 'source');
      return newest?.event === 'source' ? newest.source.errorCode : null;
    };
    const run = async (forMs: number, lostOfTen: number) => {
      for (let passedMs = 0; passedMs < forMs; passedMs += 20) {
        if (lostOfTen > 0) source.lose(lostOfTen);
        source.samples(10 - lostOfTen);
        await clock.advance(20);
      }
    };
    await run(1_000, 5);
    expect(told()).toBeNull();
    await run(2_000, 9);
    expect(told()).toBe('board-lines-lost');
    expect(session.source.sentence).toContain('Check the cable');
    await run(2_000, 0);
    expect(told()).toBeNull();
  });

  test('a board with fewer channels than cylinders measures those it has and says so', async () => {
    const { session, instruments } = await liveBench({ cylinders: 4 });
    expect(instruments[0]!.setup.cylinders).toBe(2);
    expect(session.source.errorCode).toBe('board-fewer-channels');
    session.changeSetup({ cylinders: 2 });
    expect(session.source.errorCode).toBeNull();
  });

  test('another board on the same cable starts a new measurement', async () => {
    const { clock, source, session, instruments } = await liveBench();
    source.unplug();
    source.identity = { ...BOARD, boardId: 'bench-2', sensorTypes: ['MPX4115A', 'MPX4115A', 'MPX4115A'] };
    await clock.advance(1_000);
    source.reset();
    source.samples(2);
    expect(session.source).toMatchObject({ boardId: 'bench-2', channels: 3 });
    expect(instruments).toHaveLength(2);
    expect(instruments[1]!.rows[0]!.timeS).toBeGreaterThan(instruments[0]!.rows.at(-1)!.timeS);
  });

  test('stopping frees the device and no timer is left', async () => {
    const { clock, source, session } = await liveBench();
    await session.stop();
    expect(source.handlers).toBeNull();
    expect(clock.pending).toBe(0);
  });
});

describe('captures of a session', () => {
  test('keep every raw count with its time, in chunks of at most half a second', async () => {
    const { clock, source, session, store } = await liveBench();
    const started = session.startCapture('before');
    expect(started).toMatchObject({
      ok: true,
      value: { label: 'before', state: 'recording', practice: false },
    });
    source.samples(1_000);
    await clock.advance(100);
    const stopped = session.stopCapture('capture-1');
    expect(stopped).toMatchObject({ ok: true, value: { state: 'complete', samples: 1_000 } });
    if (stopped.ok) expect(Value.Check(CaptureSummary, stopped.value)).toBe(true);
    const chunks = [...store.chunks('capture-1')];
    expect(chunks.flatMap((chunk) => chunk.counts[0])).toEqual(
      Array.from({ length: 1_000 }, (_, n) => (n + 6) % 1_000),
    );
    for (const chunk of chunks) {
      expect(chunk.timeTicks.at(-1)! - chunk.timeTicks[0]!).toBeLessThanOrEqual(0.5 * BOARD.clockRateHz);
    }
    expect(store.header('capture-1')).toMatchObject({
      boardId: 'bench-1',
      sensorTypes: BOARD.sensorTypes,
      channelDelaysS: [0, 0.0002],
      calibration: { kind: 'test' },
      setup: session.setup,
    });
  });

  test('at any moment no more than half a second is not yet on disk', async () => {
    const { source, session, store } = await liveBench();
    session.startCapture('after');
    for (let n = 0; n < 700; n++) {
      source.samples(1);
      const onDisk = [...store.chunks('capture-1')].reduce((sum, chunk) => sum + chunk.timeTicks.length, 0);
      expect(n + 1 - onDisk).toBeLessThanOrEqual(0.5 * BOARD.sampleRateHz + 1);
    }
  });

  test('have figures from their own samples alone', async () => {
    const { source, session, store, instruments } = await liveBench();
    source.samples(300);
    session.startCapture('before');
    source.samples(40);
    session.stopCapture('capture-1');
    // The noted instrument gives its number of rows as the spread.
    expect(instruments[0]!.rows).toHaveLength(345);
    expect(store.kept.get('capture-1')?.figures).toMatchObject({ spreadKpa: 40, idleRpm: 1000 });
  });

  test('a pulled cable ends no capture: it goes on after the replug with the gap in its times', async () => {
    const { clock, source, session, store } = await liveBench();
    session.startCapture('before');
    source.samples(100);
    source.unplug();
    expect(store.get('capture-1')?.samples).toBe(100);
    await clock.advance(3_000);
    source.reset();
    source.samples(100);
    expect(session.captures[0]).toMatchObject({ state: 'recording', samples: 200 });
    const stopped = session.stopCapture('capture-1');
    expect(stopped).toMatchObject({ ok: true, value: { state: 'complete', samples: 200 } });
    const ticks = [...store.chunks('capture-1')].flatMap((chunk) => chunk.timeTicks);
    expect((ticks[100]! - ticks[99]!) / BOARD.clockRateHz).toBeCloseTo(3, 0);
  });

  test('another board ends it as interrupted', async () => {
    const { clock, source, session, store } = await liveBench();
    session.startCapture('before');
    source.samples(10);
    source.unplug();
    source.identity = { ...BOARD, boardId: 'stranger' };
    await clock.advance(1_000);
    expect(store.get('capture-1')).toMatchObject({ state: 'interrupted', samples: 10 });
  });

  test('going from an engine to the simulated one ends it; another port with the same board does not', async () => {
    const { clock, source, session, store } = await liveBench();
    session.startCapture('before');
    source.samples(10);
    const otherPort = new HandSource('serial');
    session.useSource(otherPort);
    await clock.advance(100);
    otherPort.samples(10);
    expect(session.captures[0]).toMatchObject({ state: 'recording', samples: 20 });
    session.useSource(new HandSource('practice'));
    expect(store.get('capture-1')).toMatchObject({ state: 'interrupted', samples: 20 });
  });

  test('the practice engine is marked as such', async () => {
    const { session } = await liveBench({}, new HandSource('practice'));
    expect(session.startCapture('before')).toMatchObject({ ok: true, value: { practice: true } });
  });

  test('one at a time, only with samples, and stopped only once', async () => {
    const bench = sessionBench();
    expect(bench.session.startCapture('before')).toMatchObject({ ok: false, code: 'capture-needs-board' });
    const { source, session } = await liveBench();
    session.startCapture('before');
    expect(session.startCapture('after')).toMatchObject({ ok: false, code: 'capture-running' });
    expect(session.stopCapture('nothing')).toMatchObject({ ok: false, code: 'capture-not-found' });
    source.samples(1);
    session.stopCapture('capture-1');
    expect(session.stopCapture('capture-1')).toMatchObject({ ok: false, code: 'capture-not-running' });
    await session.stop();
    await bench.session.stop();
  });

  test('lock what would change their meaning, and nothing else', async () => {
    const { session } = await liveBench();
    session.startCapture('before');
    expect(session.changeSetup({ cylinders: 1 })).toMatchObject({ ok: false, code: 'setup-locked' });
    expect(session.changeSetup({ barometricKpa: 90 })).toMatchObject({ ok: false, code: 'setup-locked' });
    expect(session.changeSetup({ toleranceKpa: 0.5, idleTargetRpm: 1100 }).ok).toBe(true);
  });

  test('a shutdown ends it as interrupted with all that came', async () => {
    const { source, session, store } = await liveBench();
    session.startCapture('before');
    source.samples(33);
    await session.stop();
    expect(store.get('capture-1')).toMatchObject({ state: 'interrupted', samples: 33 });
    expect(store.kept.get('capture-1')?.figures?.spreadKpa).toBe(33);
  });

  test.each([
    ['full', 'ENOSPC: no space left on device'],
    ['read-only all of a sudden', 'attempt to write a readonly database'],
    ['gone', 'disk I/O error'],
  ])('a disk that is %s ends it and says so, and measuring goes on', async (_, words) => {
    const { clock, source, session, store, ofType, instruments } = await liveBench();
    session.startCapture('before');
    source.samples(100);
    store.failWith = new Error(words);
    source.samples(400);
    await clock.advance(100);
    expect(session.capturedBoard).toBeNull();
    expect(session.source.errorCode).toBe('capture-not-saved');
    const told = ofType('event')
      .filter((event) => event.event === 'capture')
      .at(-1)!;
    expect(told.capture.state).toBe('interrupted');
    // It could not even be marked as ended, and is not listed as one that runs all the same.
    expect(store.get('capture-1')?.state).toBe('recording');
    expect(session.captures).toMatchObject([{ id: 'capture-1', state: 'interrupted' }]);
    expect(instruments[0]!.rows).toHaveLength(505);
    expect(session.startCapture('before')).toMatchObject({ ok: false, code: 'capture-not-saved' });
    store.failWith = null;
    expect(session.startCapture('before').ok).toBe(true);
    expect(session.source.errorCode).toBeNull();
  });

  test('a running one is told every second with its newest figures', async () => {
    const { clock, source, session, ofType } = await liveBench();
    session.startCapture('before');
    source.samples(50);
    await clock.advance(1_000);
    const told = ofType('event').filter((event) => event.event === 'capture');
    expect(told.at(-1)!.capture).toMatchObject({ state: 'recording', samples: 50 });
  });
});

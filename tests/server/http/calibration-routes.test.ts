import { afterEach, describe, expect, test } from 'vitest';
import type { CalibrationHistory, CalibrationState } from '../../../server/contract/calibration.ts';
import { registerBoardHealthRoutes } from '../../../server/http/board-health-routes.ts';
import { registerCalibrationRoutes } from '../../../server/http/calibration-routes.ts';
import { BoardCalibrations } from '../../../server/session/board-calibrations.ts';
import { BoardWatch } from '../../../server/session/board-watch.ts';
import { open } from '../jobs/capture-fixture.ts';
import { temporaryFolder } from '../jobs/temporary-folder.ts';
import { BOARD } from '../session/session-bench.ts';
import { appBench } from './app-bench.ts';

const HOST = { host: '127.0.0.1:4350' };
const closing: (() => unknown)[] = [];
afterEach(async () => {
  for (const close of closing.splice(0).reverse()) await close();
});

async function bench() {
  const store = await open(temporaryFolder());
  let captureRunning = false;
  const calibrations = new BoardCalibrations({
    store: store.calibrations,
    wallMs: () => 1_717_150_000_000,
    softwareVersion: '0.0.0-test',
    log: () => {},
    practice: () => false,
    live: () => true,
    captureRunning: () => captureRunning,
    barometricKpa: () => 100.6,
    renewed: () => calibrations.scalesFor(BOARD),
  });
  const watch = new BoardWatch({ wallMs: () => 5, counters: () => ({ 'lost-samples': 4 }) });
  const { app } = await appBench('serial', {
    moreRoutes: [
      (more) => registerCalibrationRoutes(more, calibrations),
      (more) => registerBoardHealthRoutes(more, watch),
    ],
  });
  closing.push(
    () => store.close(),
    () => app.close(),
  );
  let ticks = 0;
  /** Both channels of the board read one pressure for a while. */
  const still = (kpa: number, lengthS: number) => {
    const count = Math.round((0.009 * kpa - 0.095) * BOARD.fullScaleCounts);
    for (let row = 0; row < lengthS * BOARD.sampleRateHz; row++) {
      ticks += 2_000;
      const taken = { order: 'next', use: true, missing: 0, timeTicks: ticks } as const;
      const counts = [count + (row % 3) - 1, count - (row % 3) + 1];
      const line = { kind: 'sample', sequence: row % 65_536, timeTicks: ticks, counts } as const;
      calibrations.onSample(line, taken, [kpa, kpa]);
    }
  };
  const send = async <T = CalibrationState>(
    method: 'GET' | 'POST' | 'PUT',
    path: string,
    payload?: object,
  ) => {
    const answer = await app.inject({
      method,
      url: `/api/calibration${path}`,
      headers: HOST,
      ...(payload === undefined ? {} : { payload }),
    });
    return {
      status: answer.statusCode,
      body: answer.json() as T,
      code: (answer.json() as { code?: string }).code,
    };
  };
  const capture = (running: boolean) => {
    captureRunning = running;
  };
  return { calibrations, still, send, capture, app };
}

const REFUSED = [
  [
    'PUT',
    '/sensors',
    { boardId: 'bench-1', sensors: [{ channel: 9, type: { kind: 'board' }, serial: null }] },
  ],
  [
    'PUT',
    '/sensors',
    { boardId: 'bench-1', sensors: [{ channel: 1, type: { kind: 'guess' }, serial: null }] },
  ],
  ['POST', '/zero', { air: { from: 'weather' } }],
  ['POST', '/zero', { air: { from: 'entered', kpa: 100, limitsKpa: 0 } }],
  ['POST', '/zero', { air: { from: 'altitude', altitudeM: 9000, limitsM: 10 } }],
  ['POST', '/matching', { channels: [] }],
  ['POST', '/matching', { channels: [1, 1] }],
  ['POST', '/matching', { channels: [1, 8] }],
  ['POST', '/span', { channels: [1], gauge: { shows: 'vacuum' } }],
  ['POST', '/span/readings', { shownKpa: -1, readToKpa: 0.1 }],
  ['POST', '/save', { technician: 'x'.repeat(201), remindAfterMonths: 6 }],
  ['POST', '/save', { technician: null, remindAfterMonths: 0 }],
] as const;

describe('the routes of the calibration', () => {
  test('without a board say so, and start nothing', async () => {
    const { send } = await bench();
    expect(await send('GET', '')).toMatchObject({
      status: 200,
      body: { board: null, desk: { phase: 'idle' } },
    });
    expect(await send('POST', '/matching', { channels: [1, 2] })).toMatchObject({
      status: 409,
      code: 'calibration-needs-board',
    });
    expect(await send('POST', '/finish')).toMatchObject({ status: 409, code: 'calibration-nothing-there' });
  });

  test('lead from a zero to its history', async () => {
    const { calibrations, still, send, capture } = await bench();
    calibrations.scalesFor(BOARD);
    const started = await send('POST', '/zero', { air: { from: 'entered', kpa: 100.6, limitsKpa: 0.1 } });
    expect(started).toMatchObject({ status: 200, body: { desk: { phase: 'recording', task: 'zero' } } });
    still(100, 3.1);
    // Half a count of the converter is 0.054 kPa.
    const shiftKpa = (await send('GET', '')).body.desk.proposal!.offsetKpa[0]!;
    expect(Math.abs(shiftKpa - 0.6)).toBeLessThan(0.06);
    capture(true);
    const how = { technician: 'K. Test', remindAfterMonths: 6 };
    expect(await send('POST', '/save', how)).toMatchObject({
      status: 409,
      code: 'calibration-capture-running',
    });
    capture(false);
    expect(await send('POST', '/save', how)).toMatchObject({
      status: 200,
      body: { board: { kinds: ['zero'], technician: 'K. Test', validity: { state: 'valid' } }, sentence: '' },
    });
    const history = await send<CalibrationHistory>('GET', '/history');
    expect(history.body).toMatchObject({
      boards: ['bench-1'],
      boardId: 'bench-1',
      calibrations: [{ kind: 'zero', inForce: true, channels: [{ channel: 1 }, { channel: 2 }] }],
    });
    expect((await send<CalibrationHistory>('GET', '/history?boardId=none')).body.calibrations).toEqual([]);
    const { id } = history.body.calibrations[0]!;
    expect((await send('POST', `/use/${id}`)).status).toBe(200);
    calibrations.scalesFor({ ...BOARD, boardId: 'bench-2' });
    expect(await send('POST', `/use/${id}`)).toMatchObject({ status: 409, code: 'calibration-other-board' });
  });

  test('tell a refusal as a state with what to do, and forget it when told to', async () => {
    const { calibrations, still, send } = await bench();
    calibrations.scalesFor(BOARD);
    await send('POST', '/matching', { channels: [1, 2] });
    still(100, 4);
    const { body } = await send('POST', '/finish');
    expect(body.desk).toMatchObject({ phase: 'refused', refusal: { code: 'match-span-too-small' } });
    expect(body.desk.refusal?.whatToDo).toMatch(/^Start at air pressure/);
    expect((await send('POST', '/discard')).body.desk).toMatchObject({ phase: 'idle', refusal: null });
  });

  test('take nothing that is not in the contract, and start nothing by it', async () => {
    const { calibrations, send } = await bench();
    calibrations.scalesFor(BOARD);
    for (const [method, path, payload] of REFUSED) {
      expect(await send(method, path, payload), `${path} ${JSON.stringify(payload)}`).toMatchObject({
        status: 400,
        code: 'bad-request',
      });
      expect(calibrations.state().desk.phase).toBe('idle');
    }
  });

  test('an altitude is taken by the standard atmosphere with the doubt of the weather', async () => {
    const { calibrations, still, send } = await bench();
    calibrations.scalesFor(BOARD);
    // ISO 2533: 89.8746 kPa at 1000 m.
    await send('POST', '/zero', { air: { from: 'altitude', altitudeM: 1000, limitsM: 20 } });
    still(89.8746, 3.1);
    const { proposal } = (await send('GET', '')).body.desk;
    expect(Math.abs(proposal!.offsetKpa[0]!)).toBeLessThan(0.1);
    expect(proposal!.readingAfterKpa[0]!).toBeGreaterThan(2);
  });
});

test('the health of the board is answered', async () => {
  const { app } = await bench();
  const answer = await app.inject({ url: '/api/board-health', headers: HOST });
  expect(answer.json()).toMatchObject({ boardId: null, lostSamples: 4, linkHistory: [] });
});

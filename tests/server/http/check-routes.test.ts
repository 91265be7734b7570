import { describe, expect, test } from 'vitest';
import { registerCheckRoutes } from '../../../server/http/check-routes.ts';
import { deskBench, MemoryJobChecks } from '../session/checks/desk-bench.ts';
import { appBench } from './app-bench.ts';

async function routes() {
  const { desk, store, go } = deskBench();
  const { app } = await appBench('serial', {
    moreRoutes: [(more) => registerCheckRoutes(more, { desk, store, jobs: new MemoryJobChecks(store) })],
  });
  const ask = async (method: 'GET' | 'POST' | 'DELETE', url: string, payload?: object) => {
    const answer = await app.inject({ method, url, ...(payload === undefined ? {} : { payload }) });
    return { status: answer.statusCode, body: answer.json() };
  };
  return { ask, go, app };
}

describe('the routes of checks', () => {
  test('list the checks, lead through one and list its result', async () => {
    const { ask, go, app } = await routes();
    const guide = await ask('GET', '/api/checks');
    expect(guide.status).toBe(200);
    expect(guide.body.checks).toHaveLength(8);
    expect(guide.body.basis).toBe('common practice, no source');
    expect((await ask('GET', '/api/checks/current')).body).toEqual({
      running: null,
      result: null,
      notKept: null,
    });
    const started = await ask('POST', '/api/checks/current', {
      kind: 'spot',
      acknowledged: true,
      spots: ['a'],
    });
    expect(started.body.running).toMatchObject({ kind: 'spot', step: 0 });
    go(9);
    await ask('POST', '/api/checks/current/events', { event: 'down', agoS: 0.05 });
    go(3);
    const up = await ask('POST', '/api/checks/current/events', { event: 'up' });
    expect(up.body.running.step).toBe(1);
    const ended = await ask('POST', '/api/checks/current/finish');
    expect(ended.body.result.rows.length).toBeLessThanOrEqual(1);
    const list = await ask('GET', '/api/checks/results?kind=spot');
    expect(list.body.map((one: { id: string }) => one.id)).toEqual([ended.body.result.id]);
    await app.close();
  });

  test('refuse a check whose cautions were not read, a second one, and what is no event', async () => {
    const { ask, app } = await routes();
    expect((await ask('POST', '/api/checks/current', { kind: 'blip' })).status).toBe(400);
    expect((await ask('POST', '/api/checks/current', { kind: 'blip', acknowledged: false })).status).toBe(
      400,
    );
    expect((await ask('POST', '/api/checks/current/finish')).body.code).toBe('check-not-running');
    expect((await ask('POST', '/api/checks/current', { kind: 'blip', acknowledged: true })).status).toBe(200);
    const second = await ask('POST', '/api/checks/current', { kind: 'drop', acknowledged: true });
    expect(second).toMatchObject({ status: 409, body: { code: 'check-running' } });
    expect((await ask('POST', '/api/checks/current/events', { event: 'sideways' })).status).toBe(400);
    expect((await ask('DELETE', '/api/checks/current')).body.running).toBeNull();
    await app.close();
  });
});

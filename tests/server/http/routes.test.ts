import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { Value } from 'typebox/value';
import { describe, expect, test } from 'vitest';
import { CaptureSummary } from '../../../server/contract/captures.ts';
import { ErrorBody, Health } from '../../../server/contract/http.ts';
import { PracticeState } from '../../../server/contract/practice.ts';
import { Setup } from '../../../server/contract/setup.ts';
import { ERROR_CATALOGUE } from '../../../server/error-catalogue.ts';
import { BODY_LIMIT_BYTES } from '../../../server/http/build-app.ts';
import { appBench } from './app-bench.ts';

const HOST = { host: '127.0.0.1:4350' };

/** An error answer is an entry of the catalogue, with its status, and says nothing of the inside. */
function expectError(
  answer: { statusCode: number; json(): unknown; body: string },
  code: keyof typeof ERROR_CATALOGUE,
) {
  const body = answer.json() as ErrorBody;
  expect(Value.Check(ErrorBody, body)).toBe(true);
  expect(body.code).toBe(code);
  expect(answer.statusCode).toBe(ERROR_CATALOGUE[code].httpStatus);
  expect(answer.body).not.toMatch(/\bat .*\.ts|node_modules|Error:/);
}

describe('health', () => {
  test('says that it is well, what runs and what is measured', async () => {
    const { app } = await appBench();
    const answer = await app.inject({ url: '/api/health', headers: HOST });
    expect(answer.statusCode).toBe(200);
    expect(Value.Check(Health, answer.json())).toBe(true);
    expect(answer.json()).toEqual({
      status: 'ok',
      softwareVersion: '1.2.3',
      serverStartId: 'start-1',
      uptimeS: 12.5,
      link: 'live',
      source: 'serial:hand',
    });
  });
});

describe('set-up', () => {
  test('is read and changed in parts', async () => {
    const { app } = await appBench();
    const before = await app.inject({ url: '/api/setup', headers: HOST });
    expect(Value.Check(Setup, before.json())).toBe(true);
    const changed = await app.inject({
      method: 'PATCH',
      url: '/api/setup',
      headers: HOST,
      payload: { toleranceKpa: 0.7, reference: 2 },
    });
    expect(changed.statusCode).toBe(200);
    expect(changed.json()).toEqual({ ...before.json(), toleranceKpa: 0.7, reference: 2 });
  });

  test.each([
    ['an unknown entry', { tolerance: 1 }],
    ['a number as text', { toleranceKpa: '1' }],
    ['a number out of range', { cylinders: 9 }],
    ['a reference that is no cylinder of the engine', { reference: 7 }],
    ['no object', [1]],
  ])('%s is refused with what is wrong, and nothing changes', async (_what, payload) => {
    const { app, session } = await appBench();
    const before = session.setup;
    const answer = await app.inject({ method: 'PATCH', url: '/api/setup', headers: HOST, payload });
    expectError(answer, 'bad-request');
    expect(session.setup).toEqual(before);
  });

  test('text that is no JSON, a body of another kind and a huge one each get their own answer', async () => {
    const { app } = await appBench();
    const patch = (payload: string, type: string) =>
      app.inject({
        method: 'PATCH',
        url: '/api/setup',
        headers: { ...HOST, 'content-type': type },
        payload,
      });
    expectError(await patch('{"toleranceKpa":', 'application/json'), 'bad-request');
    expectError(await patch('<setup/>', 'application/xml'), 'unsupported-media-type');
    expectError(await patch(`"${'x'.repeat(BODY_LIMIT_BYTES)}"`, 'application/json'), 'body-too-large');
  });
});

describe('captures', () => {
  test('are started, listed, stopped and exported', async () => {
    const { app, source } = await appBench();
    const started = await app.inject({
      method: 'POST',
      url: '/api/captures',
      headers: HOST,
      payload: { label: 'before' },
    });
    expect(started.statusCode).toBe(201);
    expect(Value.Check(CaptureSummary, started.json())).toBe(true);
    const { id } = started.json() as CaptureSummary;
    source.samples(3, (n) => [n, n + 1]);
    const list = await app.inject({ url: '/api/captures', headers: HOST });
    expect(list.json()).toMatchObject([{ id, state: 'recording', samples: 3 }]);
    const stopped = await app.inject({ method: 'POST', url: `/api/captures/${id}/stop`, headers: HOST });
    expect(stopped.statusCode).toBe(200);
    expect(stopped.json()).toMatchObject({ id, state: 'complete', samples: 3 });
    const csv = await app.inject({ url: `/api/captures/${id}/samples.csv`, headers: HOST });
    expect(csv.headers['content-type']).toBe('text/csv; charset=utf-8');
    expect(csv.body.split('\r\n')).toEqual([
      'time_s,counts_1,counts_2',
      '0.000000,6,7',
      '0.002000,7,8',
      '0.004000,8,9',
      '',
    ]);
  });

  test('that cannot be are refused', async () => {
    const { app, source } = await appBench();
    const post = (url: string, payload?: object) =>
      app.inject({ method: 'POST', url, headers: HOST, ...(payload === undefined ? {} : { payload }) });
    expectError(await post('/api/captures', { label: 'during' }), 'bad-request');
    await post('/api/captures', { label: 'before' });
    expectError(await post('/api/captures', { label: 'after' }), 'capture-running');
    expectError(await post('/api/captures/none/stop'), 'capture-not-found');
    await post('/api/captures/capture-1/stop');
    expectError(await post('/api/captures/capture-1/stop'), 'capture-not-running');
    expectError(
      await app.inject({ url: '/api/captures/none/samples.csv', headers: HOST }),
      'capture-not-found',
    );
    source.unplug();
    expectError(await post('/api/captures', { label: 'before' }), 'capture-needs-board');
  });

  test('a disk that fails is an answer, and the details stay in the log', async () => {
    const { app, store } = await appBench();
    store.failWith = new Error('ENOSPC: /home/someone/data');
    const answer = await app.inject({
      method: 'POST',
      url: '/api/captures',
      headers: HOST,
      payload: { label: 'before' },
    });
    expectError(answer, 'capture-not-saved');
    expect(answer.body).not.toContain('/home');
  });
});

describe('practice', () => {
  test('the panel is read, turned and blipped while the practice engine is the source', async () => {
    const { app, blips } = await appBench('practice');
    const state = await app.inject({ url: '/api/practice', headers: HOST });
    expect(Value.Check(PracticeState, state.json())).toBe(true);
    const turned = await app.inject({
      method: 'PATCH',
      url: '/api/practice',
      headers: HOST,
      payload: { idleScrewTurns: 2 },
    });
    expect(turned.json()).toMatchObject({ idleScrewTurns: 2 });
    const blip = await app.inject({ method: 'POST', url: '/api/practice/blip', headers: HOST });
    expect(blip.statusCode).toBe(204);
    expect(blips()).toBe(1);
    expectError(
      await app.inject({ method: 'PATCH', url: '/api/practice', headers: HOST, payload: { layout: 'v12' } }),
      'practice-bad-setting',
    );
  });

  test('with a real board there is no panel', async () => {
    const { app } = await appBench('serial');
    expectError(await app.inject({ url: '/api/practice', headers: HOST }), 'practice-not-active');
    expectError(
      await app.inject({ method: 'POST', url: '/api/practice/blip', headers: HOST }),
      'practice-not-active',
    );
  });
});

describe('who is let in', () => {
  test.each(['127.0.0.1:4350', 'localhost:4350', '[::1]:4350', 'LOCALHOST'])('as %s', async (host) => {
    const { app } = await appBench();
    expect((await app.inject({ url: '/api/health', headers: { host } })).statusCode).toBe(200);
  });

  test.each(['bench.example', '127.0.0.1.example:4350', 'localhost.'])('not as %s', async (host) => {
    const { app } = await appBench();
    expectError(await app.inject({ url: '/api/health', headers: { host } }), 'host-not-allowed');
  });

  test('a page of another site changes nothing, our own does', async () => {
    const { app, session } = await appBench();
    const patch = (origin: string) =>
      app.inject({
        method: 'PATCH',
        url: '/api/setup',
        headers: { ...HOST, origin },
        payload: { toleranceKpa: 3 },
      });
    for (const origin of ['https://elsewhere.example', 'http://127.0.0.1:9999', 'null']) {
      expectError(await patch(origin), 'origin-not-allowed');
    }
    expect(session.setup.toleranceKpa).toBe(1);
    expect((await patch('http://127.0.0.1:4350')).statusCode).toBe(200);
    expect(session.setup.toleranceKpa).toBe(3);
  });
});

describe('everything else', () => {
  test('an address that does not exist says so', async () => {
    const { app } = await appBench();
    expectError(await app.inject({ url: '/api/nothing', headers: HOST }), 'not-found');
    expectError(await app.inject({ url: '/../../etc/passwd', headers: HOST }), 'not-found');
  });

  test('a failure inside is an answer without a trace of the code', async () => {
    const { app } = await appBench('serial', {
      moreRoutes: [
        (more) => {
          more.get('/api/boom', () => {
            throw new TypeError('secret at /work/inside.ts');
          });
        },
      ],
    });
    const answer = await app.inject({ url: '/api/boom', headers: HOST });
    expectError(answer, 'internal-error');
    expect(answer.body).not.toContain('secret');
  });

  test('no page may run a script of its own making or be framed', async () => {
    const { app } = await appBench();
    const { headers } = await app.inject({ url: '/api/health', headers: HOST });
    const policy = String(headers['content-security-policy']);
    expect(policy).toContain("script-src 'self'");
    expect(policy).not.toContain('unsafe');
    expect(policy).toContain("frame-ancestors 'none'");
    expect(headers['x-content-type-options']).toBe('nosniff');
  });

  test('the built pages are served, also under the addresses of their screens', async () => {
    const folder = mkdtempSync(join(tmpdir(), 'idlewright-pages-'));
    try {
      writeFileSync(join(folder, 'index.html'), '<!doctype html><title>Idlewright</title>');
      writeFileSync(join(folder, 'app.js'), 'export {};');
      const { app } = await appBench('serial', { clientFolder: folder });
      const get = (url: string, accept = 'text/html') => app.inject({ url, headers: { ...HOST, accept } });
      expect((await get('/')).body).toContain('<title>Idlewright</title>');
      expect((await get('/jobs/12')).body).toContain('<title>Idlewright</title>');
      expect((await get('/app.js', '*/*')).headers['content-type']).toContain('javascript');
      expectError(await get('/missing.js', '*/*'), 'not-found');
      expectError(await get('/api/missing'), 'not-found');
      expectError(await get('/%2e%2e/%2e%2e/etc/passwd', '*/*'), 'not-found');
    } finally {
      rmSync(folder, { recursive: true });
    }
  });
});

describe('addresses that cannot be read', () => {
  test.each(['/api/visits/%E0%A4%A', `/api/visits/${'7'.repeat(300)}`])(
    '%s is answered in the form of all errors',
    async (url) => {
      const { app } = await appBench('serial', {
        moreRoutes: [(more) => void more.get('/api/visits/:id', () => ({}))],
      });
      expectError(await app.inject({ url, headers: HOST }), 'bad-request');
    },
  );
});

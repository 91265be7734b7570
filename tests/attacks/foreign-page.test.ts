import { createServer, type Server } from 'node:http';
import type { AddressInfo } from 'node:net';
import type { Browser } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { ownerFields } from '../server/jobs/job-fixture.ts';
import { launchBrowser } from '../whole/find-browser.ts';
import { AttackedService, json } from './attacked-service.ts';

let attacked: AttackedService;
let cookie = '';
beforeAll(async () => {
  attacked = await AttackedService.start();
  cookie = await attacked.letIn('operate');
});
afterAll(() => attacked.stop());

const captures = async () => JSON.parse((await attacked.instrument('/api/captures')).body) as unknown[];

/** Both doors, the outer one with the cookie of a device that may operate. */
const DOORS = ['instrument', 'network'] as const;
const credentials = (door: (typeof DOORS)[number]): Record<string, string> =>
  door === 'network' ? { cookie } : {};

describe.each(DOORS)('at the door of the %s', (door) => {
  const own = () => `127.0.0.1:${door === 'network' ? attacked.networkPort : attacked.service.port}`;

  test.each([
    ['another site', 'https://elsewhere.example'],
    ['another port of this computer', 'http://127.0.0.1:1'],
    ['a page without an origin, as a sandboxed frame or a file', 'null'],
    ['a name that starts like ours', 'http://127.0.0.1.elsewhere.example'],
    ['a page that writes itself into the address', 'http://127.0.0.1:1@elsewhere.example'],
    ['no address', 'elsewhere'],
  ])('a change that comes from %s is refused', async (_what, origin) => {
    const answer = await attacked[door]('/api/captures', {
      ...json({ label: 'before' }),
      headers: { 'content-type': 'application/json', origin, ...credentials(door) },
    });
    expect(answer.status).toBe(403);
    expect(JSON.parse(answer.body)).toMatchObject({ code: 'origin-not-allowed' });
    expect(await captures()).toEqual([]);
  });

  test.each([
    ['text/plain', '{"label":"before"}'],
    ['application/x-www-form-urlencoded', 'label=before'],
    [
      'multipart/form-data; boundary=x',
      '--x\r\ncontent-disposition: form-data; name="label"\r\n\r\nbefore\r\n--x--\r\n',
    ],
  ])('a form that sends %s without an Origin changes nothing', async (type, body) => {
    const headers = { 'content-type': type, ...credentials(door) };
    const answer = await attacked[door]('/api/captures', { method: 'POST', headers, body });
    expect(answer.status).toBe(415);
    expect(await captures()).toEqual([]);
  });

  test.each([
    'rebound.example',
    'rebound.example:80',
    '127.0.0.1.rebound.example',
    '127.1',
    '0',
    '[::ffff:7f00:1]',
  ])('a page that reaches it under the name %j gets nothing', async (host) => {
    for (const path of ['/', '/api/access/me', '/api/captures']) {
      const answer = await attacked[door](path, { headers: { host, ...credentials(door) } });
      expect([400, 403]).toContain(answer.status);
      expect(answer.body).not.toContain('role');
    }
  });

  test.each([
    ['a picture', { 'sec-fetch-site': 'cross-site', 'sec-fetch-mode': 'no-cors', 'sec-fetch-dest': 'image' }],
    ['a script', { 'sec-fetch-site': 'same-site', 'sec-fetch-mode': 'no-cors', 'sec-fetch-dest': 'script' }],
    ['a frame', { 'sec-fetch-site': 'cross-site', 'sec-fetch-mode': 'navigate', 'sec-fetch-dest': 'iframe' }],
  ])('what another page embeds as %s is refused', async (_what, metadata: Record<string, string>) => {
    for (const path of ['/', '/api/captures', '/api/records/export']) {
      const answer = await attacked[door](path, { headers: { ...metadata, ...credentials(door) } });
      expect(answer.status, path).toBe(403);
    }
  });

  test('a link from another page may be followed', async () => {
    const followed = {
      'sec-fetch-site': 'cross-site',
      'sec-fetch-mode': 'navigate',
      'sec-fetch-dest': 'document',
    };
    const answer = await attacked[door]('/', { headers: { ...followed, accept: 'text/html' } });
    expect(answer.status).toBe(200);
  });

  test('a cross-site WebSocket is refused', async () => {
    const port = door === 'network' ? attacked.networkPort : attacked.service.port;
    for (const origin of ['https://elsewhere.example', 'http://127.0.0.1:1', 'null']) {
      const live = attacked.live({ origin, ...credentials(door) }, port);
      expect(await live.decided()).toBe(403);
      expect(live.messages).toBe(0);
    }
    const rebound = attacked.live(
      { host: 'rebound.example', origin: 'http://rebound.example', ...credentials(door) },
      port,
    );
    expect(await rebound.decided()).toBe(403);
  });

  test('our own page gets in', async () => {
    const port = door === 'network' ? attacked.networkPort : attacked.service.port;
    const live = attacked.live({ origin: `http://${own()}`, ...credentials(door) }, port);
    expect(await live.decided()).toBe(101);
    live.socket.terminate();
  });
});

describe('a page of another origin in a real browser on this computer', () => {
  let evil: Server;
  let browser: Browser;
  beforeAll(async () => {
    evil = createServer((_request, answer) => {
      answer.setHeader('content-type', 'text/html');
      answer.end('<!doctype html><title>elsewhere</title><p>elsewhere</p>');
    });
    await new Promise<void>((ready) => evil.listen(0, '127.0.0.1', ready));
    browser = await launchBrowser();
    await attacked.instrument('/api/owners', json({ ...ownerFields, name: 'Invented Owner' }));
  });
  afterAll(async () => {
    await browser.close();
    await new Promise((closed) => evil.close(closed));
  });

  test('reads nothing, changes nothing, hears nothing and shows nothing of ours', async () => {
    const page = await browser.newPage();
    await page.goto(`http://127.0.0.1:${(evil.address() as AddressInfo).port}/`);
    const seen: Record<string, unknown> = await page.evaluate(`(async (url) => {
      const tried = (what) => what().catch(() => 'refused');
      const post = (type, mode) => fetch(url + '/api/captures',
        { method: 'POST', mode, headers: { 'content-type': type }, body: '{"label":"before"}' });
      return {
        read: await tried(async () => (await fetch(url + '/api/owners')).text()),
        blind: await tried(async () => (await post('text/plain', 'no-cors')).type),
        asked: await tried(async () => (await post('application/json', 'cors')).status),
        live: await new Promise((resolve) => {
          const socket = new WebSocket(url.replace('http', 'ws') + '/live');
          socket.onmessage = () => resolve('heard');
          socket.onclose = () => resolve('refused');
        }),
        script: await new Promise((resolve) => {
          const element = document.createElement('script');
          element.src = url + '/api/owners';
          element.onload = () => resolve('loaded');
          element.onerror = () => resolve('refused');
          document.head.append(element);
        }),
      };
    })('${attacked.service.url}')`);
    expect(seen.read).toBe('refused');
    expect(['opaque', 'refused']).toContain(seen.blind);
    expect(seen.asked).toBe('refused');
    expect(seen.live).toBe('refused');
    expect(seen.script).toBe('refused');
    expect(await captures()).toEqual([]);
    await page.close();
  });

  test('cannot send a form to it or put it into a frame', async () => {
    const page = await browser.newPage();
    await page.goto(`http://127.0.0.1:${(evil.address() as AddressInfo).port}/`);
    await page.setContent(
      `<form id="form" method="post" enctype="text/plain" action="${attacked.service.url}/api/captures" target="frame">
        <input name='{"label":"before","x":"' value='"}'></form><iframe name="frame"></iframe>
       <iframe id="bench" src="${attacked.service.url}/"></iframe>`,
    );
    const [answer] = await Promise.all([
      page.waitForResponse((response) => response.request().method() === 'POST'),
      page.evaluate("document.getElementById('form').submit()"),
    ]);
    expect([403, 415]).toContain(answer.status());
    expect(await captures()).toEqual([]);
    const frame = await (await page.waitForSelector('#bench')).contentFrame();
    expect(await frame?.evaluate("document.querySelector('#screen') === null")).toBe(true);
    await page.close();
  });
});

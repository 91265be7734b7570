import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, test, vi } from 'vitest';
import type { AccessState } from '../../../../server/contract/access.ts';
import { mayDo, ROUTE_ROLES, roleNeeded } from '../../../../server/http/access/route-roles.ts';
import type { TypedApp } from '../../../../server/http/app-parts.ts';
import type * as buildAppModule from '../../../../server/http/build-app.ts';
import type { RunningService } from '../../../../server/service.ts';
import { startPracticeService } from '../../practice-service.ts';

/** The apps as the service builds them, so that their routes can be listed. */
const built = vi.hoisted(() => [] as TypedApp[]);
vi.mock('../../../../server/http/build-app.ts', async (original) => {
  const real = await original<typeof buildAppModule>();
  return {
    ...real,
    buildApp: async (parts: Parameters<typeof real.buildApp>[0]) => {
      const app = await real.buildApp(parts);
      built.push(app);
      return app;
    },
  };
});

const OPEN_TO_ALL = ['GET /*', 'GET /api/access/me', 'POST /api/access/let-in'];

let folder = '';
let service: RunningService;
let routes: { method: string; url: string }[] = [];
const cookies = { view: '', operate: '' };

beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), 'idlewright-routes-'));
  service = await startPracticeService(folder, {
    clientFolder: folder,
    network: { port: 0, tls: 'none' },
  });
  routes = routesOf(built[1]!);
  for (const role of ['view', 'operate'] as const) {
    const offer = await fetch(`http://127.0.0.1:${service.port}/api/access/offer`, post({ role }));
    const { code } = ((await offer.json()) as AccessState).offer!;
    const letIn = await fetch(`${network()}/api/access/let-in`, post({ code, name: role }));
    cookies[role] = letIn.headers.getSetCookie()[0]!.split(';')[0]!;
  }
});

afterAll(async () => {
  await service.stop();
  rmSync(folder, { recursive: true, force: true });
});

const network = () => `http://127.0.0.1:${service.network?.port}`;
const post = (body: unknown) => ({
  method: 'POST',
  headers: { 'content-type': 'application/json' },
  body: JSON.stringify(body),
});

/** Reads the tree that Fastify prints: four columns a level, each with its part of the address. */
function routesOf(app: TypedApp): { method: string; url: string }[] {
  const parts: string[] = [];
  const found: { method: string; url: string }[] = [];
  for (const line of app.printRoutes({ commonPrefix: false }).split('\n')) {
    const match = /^([\s│]*)[├└]── (\S*)(?: \(([A-Z, ]+)\))?/.exec(line);
    if (match === null) continue;
    const depth = match[1]!.length / 4;
    parts.length = depth;
    parts[depth] = match[2] === '(empty' ? '' : match[2]!;
    const methods = match[3]?.split(', ') ?? [];
    const url = parts.join('');
    for (const method of methods) found.push({ method, url: url.startsWith('/') ? url : `/${url}` });
  }
  return found;
}

/** What a device gets that asks for the route with nothing sensible in it. */
async function asked({ method, url }: { method: string; url: string }, cookie?: string) {
  const path = url.replace(/:\w+/g, 'nothing').replace('*', 'nothing.js');
  const hasBody = method !== 'GET' && method !== 'HEAD' && method !== 'DELETE';
  const answer = await fetch(network() + path, {
    method,
    headers: {
      ...(cookie === undefined ? {} : { cookie }),
      ...(hasBody ? { 'content-type': 'application/json' } : {}),
    },
    ...(hasBody ? { body: '[]' } : {}),
  });
  await answer.arrayBuffer();
  return answer.status;
}

describe('every route of the door to the network', () => {
  test('is found by this test', () => {
    const urls = routes.map(({ method, url }) => `${method} ${url}`);
    for (const known of [
      'GET /live',
      'PATCH /api/setup',
      'DELETE /api/visits/:id',
      'GET /api/photos/:id',
      'GET /*',
    ]) {
      expect(urls).toContain(known);
    }
    expect(urls.length).toBeGreaterThan(50);
  });

  test('refuses a stranger, but for the pages and the code', async () => {
    const open: string[] = [];
    for (const route of routes) {
      const status = await asked(route);
      if (status !== 401 && status !== 403) open.push(`${route.method} ${route.url}`);
    }
    expect(open.filter((route) => !route.startsWith('HEAD ')).sort()).toEqual([...OPEN_TO_ALL].sort());
    expect(open.filter((route) => route.startsWith('HEAD ')).sort()).toEqual([
      'HEAD /*',
      'HEAD /api/access/me',
    ]);
  });

  test('lets a view-only device read and nothing else', async () => {
    for (const route of routes) {
      const status = await asked(route, cookies.view);
      const name = `${route.method} ${route.url}`;
      if (OPEN_TO_ALL.includes(name)) continue;
      const reads = route.method === 'GET' || route.method === 'HEAD';
      if (!reads || name === 'GET /api/records/export') expect(status, name).toBe(403);
      else if (!name.endsWith('/api/records/export')) expect([401, 403], name).not.toContain(status);
    }
  });

  test('lets a device that may operate do what is not kept to the instrument', async () => {
    for (const route of routes) {
      const name = `${route.method} ${route.url}`;
      if (name === 'POST /api/access/let-in') continue;
      expect([401, 403], name).not.toContain(await asked(route, cookies.operate));
    }
  });

  test('that lets devices in is at the instrument alone', async () => {
    const atInstrument = routesOf(built[0]!).map(({ method, url }) => `${method} ${url}`);
    const here = routes.map(({ method, url }) => `${method} ${url}`);
    const kept = Object.entries(ROUTE_ROLES).filter(([, role]) => role === 'instrument');
    expect(kept).toHaveLength(4);
    for (const [route] of kept) {
      expect(atInstrument).toContain(route);
      expect(here).not.toContain(route);
    }
  });
});

describe('the table of roles', () => {
  test('names routes that exist', () => {
    const all = new Set(built.flatMap((app) => routesOf(app).map(({ method, url }) => `${method} ${url}`)));
    for (const route of Object.keys(ROUTE_ROLES)) expect([...all]).toContain(route);
  });

  test('holds a route that it does not name to the rule', () => {
    expect(roleNeeded('GET', '/api/new')).toBe('view');
    expect(roleNeeded('HEAD', '/api/new')).toBe('view');
    for (const method of ['POST', 'PUT', 'PATCH', 'DELETE', 'OPTIONS', 'TRACE']) {
      expect(roleNeeded(method, '/api/new')).toBe('operate');
    }
    expect(roleNeeded('HEAD', '/api/records/export')).toBe('operate');
  });

  test('each role may do what those before it may, and no more', () => {
    const roles = ['none', 'view', 'operate', 'instrument'] as const;
    for (const [have, role] of roles.entries()) {
      for (const [need, needed] of roles.entries()) expect(mayDo(role, needed)).toBe(have >= need);
    }
  });
});

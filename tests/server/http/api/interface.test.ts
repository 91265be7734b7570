import { spawn } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { Compile } from 'typebox/schema';
import { afterAll, beforeAll, expect, test, vi } from 'vitest';
import { WebSocket } from 'ws';
import type { Update } from '../../../../server/contract/live.ts';
import { ERROR_CATALOGUE } from '../../../../server/error-catalogue.ts';
import type { TypedApp } from '../../../../server/http/app-parts.ts';
import type * as buildAppModule from '../../../../server/http/build-app.ts';
import type { RunningService } from '../../../../server/service.ts';
import { startPracticeService } from '../../practice-service.ts';

/** The app as the service builds it, so that its routes can be asked for one by one. */
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

interface Operation {
  parameters: { name: string; in: string }[];
  responses: Record<string, unknown>;
}
interface OpenApi {
  openapi: string;
  paths: Record<string, Record<string, Operation>>;
  'x-error-codes': Record<string, unknown>;
}

const ROOT = resolve(import.meta.dirname, '../../../..');
const DEVELOPERS = readFileSync(join(ROOT, 'DEVELOPERS.md'), 'utf8');
let folder = '';
let service: RunningService;
let api: OpenApi;
const page = () => `http://127.0.0.1:${service.port}`;

beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), 'idlewright-api-'));
  service = await startPracticeService(folder, { softwareVersion: '1.2.3' });
  api = (await (await fetch(`${page()}/api/openapi.json`)).json()) as OpenApi;
});

afterAll(async () => {
  await service.stop();
  rmSync(folder, { recursive: true, force: true });
});

/** Every address and method of the document, as the router writes it. */
const told = () =>
  Object.entries(api.paths).flatMap(([path, methods]) =>
    Object.keys(methods).map((method) => `${method.toUpperCase()} ${path.replace(/\{(\w+)\}/g, ':$1')}`),
  );

/** What the router itself holds: the leaves of the tree that Fastify prints, four columns a level. */
function routed(): string[] {
  const parts: string[] = [];
  const found: string[] = [];
  for (const line of built[0]!.printRoutes({ commonPrefix: false }).split('\n')) {
    const match = /^([\s│]*)[├└]── (\S*)(?: \(([A-Z, ]+)\))?/.exec(line);
    if (match === null) continue;
    const depth = match[1]!.length / 4;
    parts.length = depth;
    parts[depth] = match[2] === '(empty' ? '' : match[2]!;
    for (const method of match[3]?.split(', ') ?? []) {
      if (method !== 'HEAD') found.push(`${method} /${parts.join('').replace(/^\//, '')}`);
    }
  }
  return found;
}

test('every route that the router knows is in the OpenAPI document, and the other way round', () => {
  expect(told().sort()).toEqual(routed().sort());
  expect(told().length).toBeGreaterThan(50);
});

test('every route that the OpenAPI document tells is in DEVELOPERS.md, and every one told there exists', () => {
  const developers = documented(DEVELOPERS);
  expect(told().filter((route) => !developers.has(route))).toEqual([]);
  // Only the door to the network takes codes.
  expect([...developers].filter((route) => !told().includes(route))).toEqual(['POST /api/access/let-in']);
});

test('names each parameter of an address, and each operation once', () => {
  const ids = new Set<string>();
  for (const [path, methods] of Object.entries(api.paths)) {
    for (const operation of Object.values(methods) as (Operation & { operationId: string })[]) {
      const names = operation.parameters.filter((one) => one.in === 'path').map((one) => one.name);
      expect(names, path).toEqual([...path.matchAll(/\{(\w+)\}/g)].map((match) => match[1]));
      expect(Object.keys(operation.responses).length, path).toBeGreaterThan(1);
      ids.add(operation.operationId);
    }
  }
  expect(ids.size).toBe(told().length);
  expect(api.openapi).toBe('3.1.0');
  expect(Object.keys(api['x-error-codes'])).toEqual(Object.keys(ERROR_CATALOGUE));
});

test('every live message of a running engine fits the schema that is told', async () => {
  const schema = (await (await fetch(`${page()}/api/live-schema.json`)).json()) as object;
  const check = Compile(schema);
  const types = new Map<string, number>();
  const wrong: string[] = [];
  let planned = 0;
  const socket = new WebSocket(`${page().replace('http', 'ws')}/live`);
  socket.on('message', (bytes) => {
    const message = JSON.parse(String(bytes)) as { type: string };
    types.set(message.type, (types.get(message.type) ?? 0) + 1);
    if ((message as Partial<Update>).plannedCapture != null) planned++;
    if (!check.Check(message)) wrong.push(String(bytes).slice(0, 200));
  });
  await vi.waitFor(
    () => {
      expect(types.get('update') ?? 0).toBeGreaterThan(20);
      expect(types.get('pulses') ?? 0).toBeGreaterThan(5);
    },
    { timeout: 60_000 },
  );
  const plan = await fetch(`${page()}/api/captures/planned`, {
    method: 'POST',
    headers: { 'content-type': 'application/json' },
    body: JSON.stringify({ label: 'before', when: 'equal' }),
  });
  expect(plan.status).toBe(202);
  await vi.waitFor(() => expect(planned).toBeGreaterThan(5), { timeout: 60_000 });
  await fetch(`${page()}/api/captures/planned`, { method: 'DELETE' });
  socket.terminate();
  expect(wrong).toEqual([]);
  expect(types.get('hello')).toBe(1);
  expect(check.Check({ type: 'update' })).toBe(false);
  expect(check.Check({ type: 'nothing we send' })).toBe(false);
});

test('the client in DEVELOPERS.md runs as it stands there', async () => {
  const code = /```js\n(import \{ WebSocket \}[\s\S]*?)```/.exec(DEVELOPERS)![1]!;
  expect(code.trim().split('\n').length).toBeLessThanOrEqual(10);
  const client = spawn(process.execPath, ['--input-type=module', '-e', code, '--', 'client', page()], {
    cwd: ROOT,
  });
  let said = '';
  client.stdout.on('data', (bytes: Buffer) => {
    said += bytes.toString('utf8');
  });
  client.stderr.on('data', (bytes: Buffer) => {
    said += bytes.toString('utf8');
  });
  try {
    await vi.waitFor(
      () => expect(said).toMatch(/version 1\.2\.3\n(.*\n)*\d+\S* \d\S* \w+ (inside|outside|not-sure)/),
      {
        timeout: 60_000,
      },
    );
  } finally {
    client.kill();
  }
});

/**
 * Routes in the tables whose first column is 'request': addresses in code, methods before them. `…` repeats the address
 * before it, or the part of it up to its last but one slash.
 */
function documented(text: string): Set<string> {
  const found = new Set<string>();
  for (const row of text.split('\n').filter((line) => /^\| .*`(GET|POST|PUT|PATCH|DELETE) /.test(line))) {
    const cell = row.split('|')[1]!;
    let methods: string[] = [];
    let last = '';
    for (const word of cell.matchAll(/\b(GET|POST|PUT|PATCH|DELETE)\b|([/…][^\s`,;]*)/g)) {
      if (word[1] !== undefined) {
        if (last !== '') methods = [];
        methods.push(word[1]);
        last = '';
        continue;
      }
      const path = word[2]!.replace(/\?.*$/, '');
      const url = path === '…' ? previous : path.startsWith('…') ? previousParent + path.slice(1) : path;
      for (const method of methods) found.add(`${method} ${url}`);
      if (!path.startsWith('…')) setPrevious(url);
      last = url;
    }
  }
  return found;
}

let previous = '';
let previousParent = '';
function setPrevious(url: string): void {
  previous = url;
  previousParent = url.replace(/\/[^/]*$/, '');
}

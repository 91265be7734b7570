import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import type { CaptureSummary } from '../../server/contract/captures.ts';
import type { Machine, Owner, Photo, Visit } from '../../server/contract/jobs.ts';
import { entries, machineFields, ownerFields } from '../server/jobs/job-fixture.ts';
import { tinyPng } from '../server/jobs/photo-fixture.ts';
import { AttackedService, json } from './attacked-service.ts';

let attacked: AttackedService;
beforeAll(async () => {
  attacked = await AttackedService.start();
});
afterAll(() => attacked.stop());

const photo = (body: Buffer | string, type = 'image/png') =>
  attacked.instrument('/api/photos', { method: 'POST', headers: { 'content-type': type }, body });

describe('a photo', () => {
  test.each([
    ['HTML', '<!doctype html><script>alert(1)</script>', 'image/png'],
    [
      'SVG with a script',
      '<svg xmlns="http://www.w3.org/2000/svg"><script>alert(1)</script></svg>',
      'image/png',
    ],
    ['SVG said to be SVG', '<svg xmlns="http://www.w3.org/2000/svg"/>', 'image/svg+xml'],
    ['a program', 'MZ\u0090\u0000', 'application/octet-stream'],
    ['a GIF', 'GIF89a', 'image/png'],
    ['nothing', '', 'image/png'],
  ])('that is %s is refused', async (_what, body, type) => {
    expect((await photo(body, type)).status).toBe(415);
  });

  test('that is a picture and a page at once is served as a picture, in a sandbox and never sniffed', async () => {
    const both = Buffer.concat([tinyPng, Buffer.from('<script>alert(1)</script>')]);
    const kept = await photo(both, 'image/jpeg');
    expect(kept.status).toBe(201);
    const { id } = JSON.parse(kept.body) as Photo;
    for (const headers of [{ accept: 'text/html' }, { accept: '*/*' }]) {
      const served = await attacked.instrument(`/api/photos/${id}`, { headers });
      expect(served.headers['content-type']).toBe('image/png');
      expect(served.headers['x-content-type-options']).toBe('nosniff');
      expect(served.headers['content-security-policy']).toBe("default-src 'none'; sandbox");
    }
  });
});

describe('what a person types', () => {
  const SCRIPT = '<img src=x onerror=alert(1)>';
  const FORMULA = '=HYPERLINK("http://elsewhere.example","x")';

  test('is text in the report and in the spreadsheet, whatever it looks like', async () => {
    const owner = JSON.parse(
      (await attacked.instrument('/api/owners', json({ ...ownerFields, name: FORMULA }))).body,
    ) as Owner;
    const machine = JSON.parse(
      (
        await attacked.instrument(
          '/api/machines',
          json({ ...machineFields, ownerId: owner.id, model: SCRIPT, plate: '@SUM(A1)' }),
        )
      ).body,
    ) as Machine;
    const visit = JSON.parse(
      (
        await attacked.instrument(
          '/api/visits',
          json({
            machineId: machine.id,
            day: '2026-05-04',
            technician: '+1',
            complaint: '-2+3',
            odometer: null,
          }),
        )
      ).body,
    ) as Visit;
    expect(visit.id, JSON.stringify(visit)).toBeTruthy();
    await attacked.instrument(
      `/api/visits/${visit.id}/entries`,
      json({ ...entries.note, body: { kind: 'note', text: SCRIPT } }),
    );

    const report = await attacked.instrument(`/api/visits/${visit.id}/report`);
    expect(report.body).toContain('&lt;img src=x');
    expect(report.body).not.toContain('<img src=x');

    const csv = await attacked.instrument('/api/visits.csv');
    expect(csv.headers['content-type']).toBe('text/csv; charset=utf-8');
    const cells = csv.body.split('\r\n')[1]!.match(/("([^"]|"")*"|[^,]*)(,|$)/g)!;
    for (const cell of cells) expect(cell.replace(/^"/, '')).not.toMatch(/^[=+\-@\t\r]/);
    expect(csv.body).toContain("'=HYPERLINK");
    expect(csv.body).toContain("'@SUM(A1)");
  });

  test('every CSV that is served has only cells that no spreadsheet computes', async () => {
    const { id: ownerId } = await made<Owner>('/api/owners', { ...ownerFields, name: FORMULA });
    const machine = {
      ...machineFields,
      ownerId,
      practice: true,
      plate: '@SUM(A1)',
      make: '-1+2',
      model: FORMULA,
    };
    const { id: machineId } = await made<Machine>('/api/machines', machine);
    const visit = { machineId, day: '2026-05-04', technician: FORMULA, complaint: FORMULA, odometer: null };
    const { id: visitId } = await made<Visit>('/api/visits', visit);
    const captureIds: string[] = [];
    for (const label of ['before', 'after']) {
      const { id } = await made<CaptureSummary>('/api/captures', { label });
      for (;;) {
        const [capture] = JSON.parse((await attacked.instrument('/api/captures')).body) as CaptureSummary[];
        if (capture!.samples > 2_000) break;
        await new Promise((next) => setTimeout(next, 50));
      }
      await attacked.instrument(`/api/captures/${id}/stop`, { method: 'POST' });
      await attacked.instrument(`/api/visits/${visitId}/captures/${id}`, { method: 'PUT' });
      captureIds.push(id);
    }
    const { paths } = JSON.parse((await attacked.instrument('/api/openapi.json')).body) as { paths: object };
    const tables = Object.keys(paths).filter((path) => path.endsWith('.csv'));
    expect(tables.length).toBeGreaterThanOrEqual(3);
    for (const table of tables) {
      const path = table.replace('{id}', table.includes('captures') ? captureIds[0]! : visitId);
      const csv = await attacked.instrument(path);
      expect(csv.status, `${path}: ${csv.body.slice(0, 300)}`).toBe(200);
      const rows = csv.body.trim().split('\r\n');
      expect(rows.length, path).toBeGreaterThan(1);
      for (const row of rows)
        for (const [cell] of row.matchAll(/("([^"]|"")*"|[^,]+)(?=,|$)/g))
          expect(cell.replace(/^"/, ''), `${path}: ${row}`).not.toMatch(/^[=+@\t\r]|^-(?![0-9.]+"?$)/);
    }
  });
});

async function made<T>(url: string, body: unknown): Promise<T> {
  const answer = await attacked.instrument(url, json(body));
  if (answer.status >= 300) throw new Error(`${url}: ${answer.status} ${answer.body}`);
  return JSON.parse(answer.body) as T;
}

describe('the headers of every answer', () => {
  test.each(['/', '/api/setup', '/api/nothing', '/api/visits.csv'])('%s', async (path) => {
    const { headers } = await attacked.instrument(path, { headers: { accept: 'text/html' } });
    const policy = String(headers['content-security-policy']);
    expect(policy).toContain("script-src 'self'");
    expect(policy).toContain("frame-ancestors 'none'");
    expect(policy).toContain("object-src 'none'");
    expect(policy).not.toMatch(/unsafe|\*/);
    expect(headers['x-content-type-options']).toBe('nosniff');
    expect(headers['referrer-policy']).toBe('no-referrer');
    expect(headers['cross-origin-resource-policy']).toBe('same-origin');
    expect(headers['x-powered-by']).toBeUndefined();
    expect(headers.server).toBeUndefined();
    if (path.startsWith('/api/')) expect(headers['cache-control']).toBe('no-store');
  });
});

import { readdirSync, rmSync } from 'node:fs';
import { join } from 'node:path';
import { Compile } from 'typebox/compile';
import { afterAll, describe, expect, test } from 'vitest';
import {
  Comparison,
  type Job,
  Job as JobForm,
  pageOf,
  VisitRow,
} from '../../../server/contract/jobs-views.ts';
import { INCOMING_FOLDER } from '../../../server/jobs/transfer/incoming-folder.ts';
import { figures, header } from './capture-fixture.ts';
import { jobApp } from './job-app.ts';
import { entries, machineFields, ownerFields, visitFields } from './job-fixture.ts';
import { tinyPng } from './photo-fixture.ts';
import { RECORD_DATABASES, type RecordDatabase } from './postgres/record-databases.ts';
import { temporaryFolder } from './temporary-folder.ts';

async function openAppOn(database: RecordDatabase) {
  const { store, close: closeStore } = await database.open(temporaryFolder());
  const app = await jobApp(store);
  const send = async (method: 'GET' | 'POST' | 'PUT' | 'DELETE', url: string, payload?: object) => {
    const answer = await app.inject({ method, url, ...(payload === undefined ? {} : { payload }) });
    return { status: answer.statusCode, headers: answer.headers, body: answer.json() };
  };
  const owner = (await send('POST', '/api/owners', ownerFields)).body;
  const machine = (await send('POST', '/api/machines', { ...machineFields, ownerId: owner.id })).body;
  const start = {
    machineId: machine.id,
    day: '2024-05-31',
    complaint: 'stumbles',
    odometer: null,
    technician: 'R',
  };
  const visit = (await send('POST', '/api/visits', start)).body;
  const close = async () => {
    await app.close();
    await closeStore();
  };
  return { store, app, send, owner, machine, visit, start, close };
}

describe.each(RECORD_DATABASES)('on $name', (database) => {
  const openApp = () => openAppOn(database);
  afterAll(() => database.stop());

  describe('the job record over HTTP', () => {
    test('takes a job from complaint to hand-over and gives it back whole', async () => {
      const { send, visit, machine, owner, close } = await openApp();
      for (const entry of Object.values(entries)) {
        expect((await send('POST', `/api/visits/${visit.id}/entries`, entry)).status).toBe(201);
      }
      const fields = {
        ...visitFields(visit),
        state: 'handed-over',
        handedOverOn: '2024-06-02',
        roadTest: 'smooth',
      };
      expect(await send('PUT', `/api/visits/${visit.id}`, { revision: 1, fields })).toMatchObject({
        status: 200,
        body: { revision: 2, state: 'handed-over' },
      });
      const job: Job = (await send('GET', `/api/visits/${visit.id}`)).body;
      expect([...Compile(JobForm).Errors(job)]).toEqual([]);
      expect(job.machine).toEqual(machine);
      expect(job.owner).toEqual(owner);
      expect(job.entries.slice(-5).map((entry) => entry.body)).toEqual(
        Object.values(entries).map((entry) => entry.body),
      );
      expect(job.costs.grossMinor).toBe(16_113);
      expect(Object.values(job.clearances)).toEqual(['tight']);
      const list = (await send('GET', '/api/visits?state=ready,handed-over&q=boot&limit=5')).body;
      expect([...Compile(pageOf(VisitRow)).Errors(list)]).toEqual([]);
      expect(list).toMatchObject({
        total: 1,
        rows: [{ id: visit.id, machine: 'Invented Works Twin 650 1983' }],
      });
      expect((await send('GET', '/api/search?q=boot')).body).toMatchObject([{ kind: 'visit', id: visit.id }]);
      expect((await send('GET', `/api/machines?ownerId=${owner.id}`)).body.total).toBe(1);
      await close();
    });

    test('answers 409 with both versions to the later of two screens', async () => {
      const { send, owner, close } = await openApp();
      const mine = { ...ownerFields, phone: '1' };
      const theirs = { ...ownerFields, phone: '2' };
      expect((await send('PUT', `/api/owners/${owner.id}`, { revision: 1, fields: mine })).status).toBe(200);
      const late = await send('PUT', `/api/owners/${owner.id}`, { revision: 1, fields: theirs });
      expect(late.status).toBe(409);
      expect(late.body).toMatchObject({
        code: 'record-changed',
        stored: { phone: '1', revision: 2 },
        sent: theirs,
      });
      expect((await send('DELETE', `/api/owners/${owner.id}?revision=1`)).status).toBe(409);
      await close();
    });

    test('answers what cannot be with a code and a sentence', async () => {
      const { send, visit, start, owner, close } = await openApp();
      const code = async (...request: Parameters<typeof send>) => {
        const { status, body } = await send(...request);
        return [status, body.code];
      };
      expect(await code('GET', '/api/visits/none')).toEqual([404, 'record-not-found']);
      expect(await code('PUT', '/api/machines/none', { revision: 1, fields: machineFields })).toEqual([
        404,
        'record-not-found',
      ]);
      expect(await code('DELETE', `/api/owners/${owner.id}?revision=1`)).toEqual([409, 'record-in-use']);
      expect(await code('DELETE', `/api/owners/${owner.id}`)).toEqual([400, 'bad-request']);
      expect(await code('POST', '/api/visits', { ...start, machineId: 'none' })).toEqual([
        400,
        'bad-request',
      ]);
      expect(await code('POST', '/api/visits', { ...start, day: '2024-02-31' })).toEqual([
        400,
        'bad-request',
      ]);
      expect(await code('POST', '/api/owners', { ...ownerFields, name: '' })).toEqual([400, 'bad-request']);
      expect(await code('POST', '/api/owners', { ...ownerFields, name: 'a\0' })).toEqual([
        400,
        'bad-request',
      ]);
      expect(await code('POST', '/api/owners', { ...ownerFields, name: 'a\ud800' })).toEqual([
        400,
        'bad-request',
      ]);
      expect(await code('POST', '/api/owners', { ...ownerFields, more: 1 })).toEqual([400, 'bad-request']);
      expect(await code('GET', '/api/visits?limit=1000')).toEqual([400, 'bad-request']);
      expect(await code('GET', '/api/visits?limit=201')).toEqual([400, 'bad-request']);
      expect(await code('GET', '/api/visits?state=asleep')).toEqual([400, 'bad-request']);
      expect(await code('GET', `/api/visits/${visit.id}/comparison`)).toEqual([
        409,
        'comparison-needs-captures',
      ]);
      const wrong = { position: 1, body: { ...entries.part.body, quantity: '1e5' } };
      expect(await code('POST', `/api/visits/${visit.id}/entries`, wrong)).toEqual([400, 'bad-request']);
      await close();
    });

    test('keeps a pair of emoji and accents, and a decimal comma', async () => {
      const { send, close } = await openApp();
      const name = 'Zoë 🏍️ Łukasz';
      expect((await send('POST', '/api/owners', { ...ownerFields, name })).body.name).toBe(name);
      await close();
    });

    test('compares the captures that hang on a job, and keeps practice ones away from it', async () => {
      const { send, store, visit, close } = await openApp();
      const capture = (label: 'before' | 'after', spreadKpa: number, practice = false) => {
        const id = store.captures.begin({ ...header, label, practice });
        store.captures.append(id, {
          timeTicks: [0, 2000],
          counts: [
            [1, 2],
            [3, 4],
          ],
        });
        store.captures.complete(id, { ...figures, spreadKpa });
        return id;
      };
      const before = capture('before', 4);
      const after = capture('after', 0.5);
      const simulated = capture('after', 0.1, true);
      for (const id of [before, after]) {
        expect((await send('PUT', `/api/visits/${visit.id}/captures/${id}`)).status).toBe(200);
      }
      expect(await send('PUT', `/api/visits/${visit.id}/captures/${simulated}`)).toMatchObject({
        status: 409,
        body: { code: 'practice-kept-apart' },
      });
      const compared = await send('GET', `/api/visits/${visit.id}/comparison`);
      expect([...Compile(Comparison).Errors(compared.body)]).toEqual([]);
      expect(Object.keys(compared.body).sort()).toEqual(Object.keys(Comparison.properties).sort());
      expect(compared).toMatchObject({
        status: 200,
        body: {
          before: { id: before },
          after: { id: after },
          spread: { difference: -3.5, verdict: 'smaller' },
        },
      });
      expect(
        (await send('GET', `/api/visits/${visit.id}/comparison?before=${after}&after=${before}`)).body,
      ).toMatchObject({
        spread: { difference: 3.5, verdict: 'larger' },
      });
      expect((await send('DELETE', `/api/visits/${visit.id}/captures/${after}`)).status).toBe(200);
      expect((await send('GET', `/api/visits/${visit.id}/comparison`)).status).toBe(409);
      await close();
    });
  });

  describe('photos over HTTP', () => {
    test('are served as what they are and nothing else', async () => {
      const { app, send, visit, close } = await openApp();
      const sent = await app.inject({
        method: 'POST',
        url: '/api/photos',
        headers: { 'content-type': 'image/jpeg' },
        payload: tinyPng,
      });
      expect(sent.statusCode).toBe(201);
      const photo = sent.json();
      expect(photo.type).toBe('image/png');
      const got = await app.inject({ method: 'GET', url: `/api/photos/${photo.id}` });
      expect(got.rawPayload.equals(tinyPng)).toBe(true);
      expect(got.headers).toMatchObject({
        'content-type': 'image/png',
        'x-content-type-options': 'nosniff',
        'content-security-policy': "default-src 'none'; sandbox",
      });
      const finding = { kind: 'finding', text: 'cracked boot', weight: 'unsafe', photoIds: [photo.id] };
      expect(
        (await send('POST', `/api/visits/${visit.id}/entries`, { position: 1, body: finding })).status,
      ).toBe(201);
      const report = await app.inject({ method: 'GET', url: `/api/visits/${visit.id}/report` });
      expect(report.body).toContain(`data:image/png;base64,${tinyPng.toString('base64')}`);
      await close();
    });

    test('that are something else, or too large, are refused', async () => {
      const { app, close } = await openApp();
      const sendPhoto = async (type: string, payload: Buffer | string) => {
        const answer = await app.inject({
          method: 'POST',
          url: '/api/photos',
          headers: { 'content-type': type },
          payload,
        });
        return [answer.statusCode, answer.json().code];
      };
      expect(await sendPhoto('image/png', '<script>')).toEqual([415, 'photo-unreadable']);
      expect(await sendPhoto('application/json', '{}')).toEqual([415, 'photo-unreadable']);
      expect(await sendPhoto('text/html', '<p>')).toEqual([415, 'unsupported-media-type']);
      expect(await sendPhoto('image/png', Buffer.alloc(13 * 1024 * 1024))).toEqual([413, 'photo-too-large']);
      const missing = await app.inject({ method: 'GET', url: `/api/photos/${'0'.repeat(64)}` });
      expect(missing.statusCode).toBe(404);
      await close();
    });
  });

  describe('jobs in and out over HTTP', () => {
    test('an export of everything, sent to an empty record, is the same there', async () => {
      const { app, visit, store, close } = await openApp();
      const document = await app.inject({ method: 'GET', url: '/api/records/export' });
      expect(document.headers['content-disposition']).toBe(
        'attachment; filename="idlewright-records-2024-05-31.json"',
      );
      const job = await store.records.job(visit.id);
      const { store: other, close: closeOther } = await database.open(temporaryFolder());
      const otherApp = await jobApp(other);
      const sent = await otherApp.inject({
        method: 'POST',
        url: '/api/records/import',
        headers: { 'content-type': 'application/json' },
        payload: document.body,
      });
      expect(sent.json()).toMatchObject({ kept: [], unchanged: 0 });
      expect(await other.records.job(visit.id)).toEqual(job);
      expect(readdirSync(join(other.dataDir, INCOMING_FOLDER))).toEqual([]);
      await otherApp.close();
      await closeOther();
      await close();
    });

    test('an import that is none is refused with a sentence', async () => {
      const { app, send, visit, close } = await openApp();
      const sent = await app.inject({
        method: 'POST',
        url: '/api/records/import',
        headers: { 'content-type': 'application/json' },
        payload: '{"format":"another"}',
      });
      expect([sent.statusCode, sent.json().code]).toEqual([400, 'import-unreadable']);
      expect(sent.json().message).toContain('line 1: it is no export of this program');
      expect((await send('GET', `/api/visits/none/export`)).body.code).toBe('record-not-found');
      expect((await send('GET', `/api/visits/${visit.id}/export`)).body.format).toBe('idlewright-records');
      await close();
    });

    test('the list of jobs for bookkeeping holds no formula', async () => {
      const { app, send, owner, visit, close } = await openApp();
      await send('PUT', `/api/owners/${owner.id}`, {
        revision: 1,
        fields: { ...ownerFields, name: '=HYPERLINK("x")' },
      });
      await send('POST', `/api/visits/${visit.id}/entries`, entries.labour);
      const list = await app.inject({ method: 'GET', url: '/api/visits.csv?q=stumbles' });
      expect(list.headers['content-type']).toBe('text/csv; charset=utf-8');
      expect(list.body.split('\r\n')[1]).toBe(
        `2024-05-31,taken in,"'=HYPERLINK(""x"")",Invented Works Twin 650 1983,,IW650-001234,R,stumbles,EUR,97.50,18.53,116.03`,
      );
      await close();
    });

    test('the figures of a job for a spreadsheet need a capture before and one after', async () => {
      const { send, visit, close } = await openApp();
      expect((await send('GET', `/api/visits/none/figures.csv`)).body.code).toBe('record-not-found');
      const refused = await send('GET', `/api/visits/${visit.id}/figures.csv`);
      expect(refused.body.code).toBe('comparison-needs-captures');
      await close();
    });

    test('a backup is made when asked for, and not without a folder', async () => {
      const { send, close } = await openApp();
      expect((await send('POST', '/api/records/backups')).body.code).toBe('backup-not-set-up');
      const { revision, ...fields } = (await send('GET', '/api/shop')).body;
      const folder = temporaryFolder();
      const wish = { ...fields, backup: { folder, everyHours: 12, keep: 3 } };
      expect((await send('PUT', '/api/shop', { revision, fields: wish })).status).toBe(200);
      const made = await send('POST', '/api/records/backups');
      expect(made).toMatchObject({
        status: 201,
        body: { folder, backups: [{ whole: true }], lastProblem: null },
      });
      expect((await send('GET', '/api/records/backups')).body).toEqual(made.body);
      rmSync(folder, { recursive: true });
      expect(await send('POST', '/api/records/backups')).toMatchObject({
        status: 500,
        body: { code: 'backup-failed' },
      });
      await close();
    });
  });
});

import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { systemClock } from '../../server/clock.ts';
import { ERROR_CATALOGUE } from '../../server/error-catalogue.ts';
import type { TypedApp } from '../../server/http/app-parts.ts';
import { registerJobRoutes } from '../../server/http/jobs/register-job-routes.ts';
import { storeBackups } from '../../server/jobs/backup/store-backups.ts';
import { type SeededRandom, seededRandom } from '../engines/seeded-random.ts';
import { appBench } from '../server/http/app-bench.ts';
import { open } from '../server/jobs/capture-fixture.ts';
import { entries, machineFields, ownerFields } from '../server/jobs/job-fixture.ts';
import { finishedJob } from '../server/jobs/report-fixture.ts';
import { type FuzzReport, FuzzTally } from './fuzz-report.ts';
import { mutated, mutatedJson } from './mutations.ts';

interface Shot {
  readonly method: 'GET' | 'POST' | 'PUT' | 'PATCH' | 'DELETE';
  readonly url: string;
  readonly body?: unknown;
}

const KINDS = [
  'application/json',
  'application/json; charset=utf-8',
  'application/octet-stream',
  'image/png',
  'text/plain',
  'multipart/form-data',
  '',
];
/** From this status on an answer says that the program itself is at fault. */
const OWN_FAULT = 500;
const CODES: ReadonlySet<string> = new Set(Object.keys(ERROR_CATALOGUE));

/** Whatever a body, an address or a header holds: never an answer of ours that says 'inside the program'. */
export async function fuzzHttp(inputs: number, seed: number): Promise<FuzzReport> {
  const random = seededRandom(seed, 305);
  const tally = new FuzzTally();
  const folder = mkdtempSync(join(tmpdir(), 'idlewright-fuzz-'));
  const store = await open(folder);
  const { visitId } = await finishedJob(store);
  const wallMs = () => 1_717_150_000_000;
  const backups = storeBackups(store, {
    clock: { ...systemClock, wallMs },
    softwareVersion: '0.1.0',
    log: () => {},
  });
  const routes = (more: TypedApp) =>
    registerJobRoutes(more, { store, backups, softwareVersion: '0.1.0', wallMs });
  const { app } = await appBench('practice', { moreRoutes: [routes] });
  try {
    const shots = corpus(visitId);
    const texts = shots.map(({ body }) => JSON.stringify(body ?? {}));
    const urls = shots.map(({ url }) => url);
    for (; tally.inputs < inputs; tally.inputs++) {
      const shot = shots[random.index(shots.length)]!;
      const body = shot.body === undefined ? undefined : otherBody(shot.body, texts, random);
      const url = random.uniform() < 0.2 ? `/${mutated(shot.url.slice(1), urls, random)}` : shot.url;
      const input = `${shot.method} ${url} ${body ?? ''}`;
      try {
        const answer = await app.inject({
          method: shot.method,
          url: encodeURI(Buffer.from(url).toString()),
          headers: {
            host: '127.0.0.1',
            ...(body === undefined
              ? {}
              : { 'content-type': random.uniform() < 0.9 ? KINDS[0]! : KINDS[random.index(KINDS.length)]! }),
          },
          ...(body === undefined ? {} : { payload: body }),
        });
        if (answer.statusCode < 400) tally.taken++;
        else if (answer.statusCode >= OWN_FAULT) tally.fail(`${answer.statusCode} ${answer.body}`, input);
        else if (!CODES.has((answer.json() as { code: string }).code))
          tally.fail(`answers ${answer.body}`, input);
      } catch (error) {
        tally.fail(String(error), input);
      }
    }
  } finally {
    await app.close();
    await backups.stop();
    await store.close();
    rmSync(folder, { recursive: true, force: true });
  }
  return tally;
}

function otherBody(body: unknown, texts: readonly string[], random: SeededRandom): string {
  const text = JSON.stringify(mutatedJson(body, random)) ?? 'null';
  return random.uniform() < 0.25 ? mutated(text, texts, random) : text;
}

/** Good requests of every kind that carries something from outside. */
function corpus(visitId: string): Shot[] {
  const revised = (fields: unknown) => ({ revision: 1, fields });
  return [
    {
      method: 'PATCH',
      url: '/api/setup',
      body: {
        cylinders: 4,
        strokes: 4,
        reference: 'mean',
        toleranceKpa: 1,
        barometric: { from: 'entered', kpa: 101 },
      },
    },
    { method: 'POST', url: '/api/captures', body: { label: 'before' } },
    { method: 'POST', url: '/api/captures/capture-1/stop', body: {} },
    { method: 'GET', url: '/api/captures/capture-1/samples.csv' },
    {
      method: 'PATCH',
      url: '/api/practice',
      body: { layout: 'twin', idleScrewTurns: 1.5, leakMm: [0, 1], sensors: 'exact' },
    },
    { method: 'POST', url: '/api/owners', body: ownerFields },
    { method: 'PUT', url: '/api/owners/1', body: revised(ownerFields) },
    { method: 'GET', url: '/api/owners?q=a%20b&offset=0&limit=20' },
    { method: 'POST', url: '/api/machines', body: machineFields },
    { method: 'PUT', url: '/api/machines/1', body: revised(machineFields) },
    { method: 'GET', url: '/api/machines?q=x&practice=with' },
    { method: 'GET', url: `/api/visits/${visitId}` },
    { method: 'GET', url: '/api/visits?state=open&sort=due&limit=5' },
    { method: 'GET', url: `/api/visits/${visitId}/report?paper=A4` },
    { method: 'GET', url: `/api/visits/${visitId}/comparison?before=a&after=b` },
    { method: 'PUT', url: `/api/visits/${visitId}/captures/capture-1` },
    ...Object.values(entries).map(
      (body): Shot => ({
        method: 'POST',
        url: `/api/visits/${visitId}/entries`,
        body: { position: 1, body },
      }),
    ),
    { method: 'DELETE', url: '/api/entries/1?revision=1' },
    { method: 'GET', url: '/api/search?q=plate%20"x*%20OR%20NEAR(' },
    { method: 'PUT', url: '/api/shop', body: revised({ name: 'x' }) },
    { method: 'POST', url: '/api/photos', body: 'no picture' },
    { method: 'GET', url: '/api/health' },
  ];
}

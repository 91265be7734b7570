import { mkdtempSync, rmSync } from 'node:fs';
import { Agent, request } from 'node:http';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { ERROR_CATALOGUE } from '../../server/error-catalogue.ts';
import { type SeededRandom, seededRandom } from '../engines/seeded-random.ts';
import { startPracticeService } from '../server/practice-service.ts';
import { exampleOf, type Schema } from './example-of.ts';
import { type FuzzReport, FuzzTally } from './fuzz-report.ts';
import { mutated, mutatedJson } from './mutations.ts';

interface Parameter {
  readonly name: string;
  readonly in: 'path' | 'query';
  readonly required: boolean;
  readonly schema: Schema;
}

interface Route {
  readonly method: string;
  readonly path: string;
  readonly parameters: readonly Parameter[];
  readonly body: Schema | null;
}

const CODES: ReadonlySet<string> = new Set(Object.keys(ERROR_CATALOGUE));
/** From this status on an answer says that the program itself is at fault … */
const OWN_FAULT = 500;
/** … but for these, which tell of a folder that is not there. */
const NO_FAULT: ReadonlySet<string> = new Set(['backup-failed']);
/** Ids that answers named, to be asked for. */
const KEPT_IDS = 60;
/** Bodies as the schema has them reach what lies behind the first check; others test that check. */
const AS_IT_IS = 0.5;

/**
 * Every route that the running service says it has, with bodies, parameters and queries made from its own schemas and
 * then changed: calibration, checks, planned captures, record, sharing and whatever comes to be added.
 */
export async function fuzzRoutes(inputs: number, seed: number): Promise<FuzzReport> {
  const random = seededRandom(seed, 307);
  const tally = new FuzzTally();
  const folder = mkdtempSync(join(tmpdir(), 'idlewright-fuzz-'));
  const service = await startPracticeService(join(folder, 'data'));
  const agent = new Agent({ keepAlive: true, maxSockets: 1 });
  const ask = (method: string, path: string, body: string | null) =>
    new Promise<{ status: number; text: string }>((resolve, reject) => {
      const headers = body === null ? {} : { 'content-type': 'application/json' };
      const asked = request(
        { agent, port: service.port, host: '127.0.0.1', method, path, headers },
        (answer) => {
          let text = '';
          answer.setEncoding('utf8');
          answer.on('data', (piece: string) => {
            text += piece;
          });
          answer.on('end', () => resolve({ status: answer.statusCode ?? 0, text }));
          answer.on('error', reject);
        },
      );
      asked.on('error', reject);
      asked.end(body ?? undefined);
    });
  try {
    const routes = routesOf((await ask('GET', '/api/openapi.json', null)).text);
    const ids: string[] = [];
    const texts: string[] = ['{}'];
    for (; tally.inputs < inputs; tally.inputs++) {
      // Each in turn: none is left out, however few inputs there are.
      const route = routes[tally.inputs % routes.length]!;
      const body = route.body === null ? null : bodyFor(route.body, ids, texts, random);
      const path = pathFor(route, ids, random);
      const input = `${route.method} ${path} ${body ?? ''}`;
      try {
        const { status, text } = await ask(route.method, path, body);
        if (status < 400) {
          tally.taken++;
          for (const [, id] of text.slice(0, 20_000).matchAll(/"id":"([^"]{1,64})"/g)) ids.push(id!);
          ids.splice(0, ids.length - KEPT_IDS);
        } else {
          const { code } = JSON.parse(text) as { code?: string };
          if (code === undefined || !CODES.has(code)) tally.fail(`answers ${text}`, input);
          else if (status >= OWN_FAULT && !NO_FAULT.has(code)) tally.fail(`${status} ${text}`, input);
        }
      } catch (error) {
        tally.fail(String(error), input);
      }
    }
    const { status } = await ask('GET', '/api/health', null);
    if (status !== 200) tally.fail(`health answers ${status} afterwards`, '');
  } finally {
    agent.destroy();
    await service.stop();
    rmSync(folder, { recursive: true, force: true });
  }
  return tally;
}

/** Out of the service's own description; the live connection has a fuzzer of its own. */
export function routesOf(openApi: string): Route[] {
  const { paths } = JSON.parse(openApi) as {
    paths: Record<string, Record<string, { parameters: Parameter[]; requestBody?: RequestBody }>>;
  };
  return Object.entries(paths).flatMap(([path, operations]) =>
    path === '/live'
      ? []
      : Object.entries(operations).map(([method, { parameters, requestBody }]) => ({
          method: method.toUpperCase(),
          path,
          parameters,
          body: requestBody?.content['application/json']?.schema ?? null,
        })),
  );
}

interface RequestBody {
  readonly content: Readonly<Record<string, { readonly schema: Schema }>>;
}

function bodyFor(schema: Schema, ids: readonly string[], texts: string[], random: SeededRandom): string {
  const example = exampleOf(schema, ids, random);
  if (random.uniform() < AS_IT_IS) return JSON.stringify(example);
  const text = JSON.stringify(mutatedJson(example, random)) ?? 'null';
  texts.push(text);
  texts.splice(0, texts.length - KEPT_IDS);
  return random.uniform() < 0.2 ? mutated(text, texts, random) : text;
}

function pathFor({ path, parameters }: Route, ids: readonly string[], random: SeededRandom): string {
  const text = (schema: Schema) => String(exampleOf(schema, ids, random));
  const mangled = (value: string) => (random.uniform() < 0.1 ? mutated(value, ['x', ...ids], random) : value);
  const encoded = (value: string) => encodeURIComponent(Buffer.from(mangled(value)).toString());
  let filled = path;
  for (const { name, schema } of parameters.filter((one) => one.in === 'path'))
    filled = filled.replace(`{${name}}`, () => encoded(text(schema)));
  const query = parameters
    .filter((one) => one.in === 'query' && (one.required || random.uniform() < 0.6))
    .map(({ name, schema }) => `${name}=${encoded(text(schema))}`);
  return query.length === 0 ? filled : `${filled}?${query.join('&')}`;
}

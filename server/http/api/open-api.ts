import { ErrorBody } from '../../contract/http.ts';
import { ERROR_CATALOGUE } from '../../error-catalogue.ts';
import { roleNeeded } from '../access/route-roles.ts';
import type { ListedRoute, ObjectSchema } from './route-list.ts';

const ROLE_WORDS = {
  none: 'Open to every device.',
  view: 'For devices that were let in.',
  operate: 'For devices that may operate.',
  instrument: 'On the instrument’s own computer alone.',
};

/**
 * The HTTP interface as an OpenAPI 3.1 document, whose schemas are JSON Schema 2020-12: those by which the requests are
 * checked and the answers written. Its list of error codes is the catalogue.
 */
export function openApi(routes: readonly ListedRoute[], softwareVersion: string): object {
  const paths: Record<string, Record<string, object>> = {};
  for (const route of routes) {
    const path = route.url.replace(/:(\w+)/g, '{$1}');
    paths[path] ??= {};
    paths[path][route.method.toLowerCase()] = operation(route);
  }
  return {
    openapi: '3.1.0',
    info: { title: 'Idlewright', version: softwareVersion },
    paths,
    components: {
      responses: {
        Error: { description: 'Why not, and what to do', ...json(ErrorBody) },
      },
    },
    'x-error-codes': ERROR_CATALOGUE,
  };
}

function operation({ method, url, websocket, schema }: ListedRoute): object {
  return {
    operationId: `${method.toLowerCase()}${url.replace(/[^A-Za-z]+(\w)/g, (_, letter: string) => letter.toUpperCase())}`,
    description: websocket
      ? 'WebSocket (RFC 6455); its messages are in /api/live-schema.json.'
      : ROLE_WORDS[roleNeeded(method, url)],
    parameters: [
      ...parameters('path', schema.params ?? paramsOf(url)),
      ...parameters('query', schema.querystring),
    ],
    ...(schema.body === undefined ? {} : { requestBody: { required: true, ...json(schema.body) } }),
    responses: {
      ...(websocket ? { 101: { description: 'The messages follow' } } : answers(schema.response)),
      default: { $ref: '#/components/responses/Error' },
    },
  };
}

function answers(response: Readonly<Record<string, object>> | undefined): object {
  if (response === undefined) return { '2XX': { description: 'Done' } };
  return Object.fromEntries(
    Object.entries(response).map(([status, schema]) => [status, { description: 'Done', ...json(schema) }]),
  );
}

/** Where a route checks its parameters by hand, they are text. */
function paramsOf(url: string): ObjectSchema {
  const names = [...url.matchAll(/:(\w+)/g)].map((match) => match[1]!);
  return { properties: Object.fromEntries(names.map((name) => [name, { type: 'string' }])) };
}

function parameters(place: 'path' | 'query', schema: ObjectSchema | undefined): object[] {
  return Object.entries(schema?.properties ?? {}).map(([name, property]) => ({
    name,
    in: place,
    required: place === 'path' || (schema?.required ?? []).includes(name),
    schema: property,
  }));
}

function json(schema: object): object {
  return { content: { 'application/json': { schema } } };
}

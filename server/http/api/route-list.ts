import type { TypedApp } from '../app-parts.ts';

/** One registered route with the schemas that its requests are checked by. */
export interface ListedRoute {
  readonly method: string;
  readonly url: string;
  readonly websocket: boolean;
  readonly schema: RouteSchema;
}

/** JSON Schemas, made by TypeBox. */
export interface RouteSchema {
  readonly params?: ObjectSchema;
  readonly querystring?: ObjectSchema;
  readonly body?: object;
  readonly response?: Readonly<Record<string, object>>;
}

export interface ObjectSchema {
  readonly properties?: Readonly<Record<string, object>>;
  readonly required?: readonly string[];
}

/** The list of routes, filled as they are registered; to be called before the first of them. */
export function listRoutes(app: TypedApp): readonly ListedRoute[] {
  const found: ListedRoute[] = [];
  app.addHook('onRoute', ({ method, url, schema, websocket }) => {
    for (const one of [method].flat()) {
      // Every GET answers HEAD too; the pages are no interface.
      if (one === 'HEAD' || url.includes('*')) continue;
      found.push({ method: one, url, websocket: websocket === true, schema: (schema ?? {}) as RouteSchema });
    }
  });
  return found;
}

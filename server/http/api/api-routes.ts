import type { TypedApp } from '../app-parts.ts';
import { liveSchema } from './live-schema.ts';
import { openApi } from './open-api.ts';
import type { ListedRoute } from './route-list.ts';

/** The interface tells about itself. */
export function registerApiRoutes(
  app: TypedApp,
  routes: readonly ListedRoute[],
  softwareVersion: string,
): void {
  app.get('/api/openapi.json', () => openApi(routes, softwareVersion));
  app.get('/api/live-schema.json', () => liveSchema());
}

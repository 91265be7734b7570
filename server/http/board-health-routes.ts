import { BoardHealth } from '../contract/board-health.ts';
import type { BoardWatch } from '../session/board-watch.ts';
import type { TypedApp } from './app-parts.ts';

export function registerBoardHealthRoutes(app: TypedApp, watch: BoardWatch): void {
  app.get('/api/board-health', { schema: { response: { 200: BoardHealth } } }, () => watch.health());
}

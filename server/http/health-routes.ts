import { Health } from '../contract/http.ts';
import type { AppParts, TypedApp } from './app-parts.ts';

export function registerHealthRoutes(app: TypedApp, { session, facts }: AppParts): void {
  app.get('/api/health', { schema: { response: { 200: Health } } }, () => {
    const { link, address } = session.source;
    return {
      status: 'ok' as const,
      softwareVersion: facts.softwareVersion,
      serverStartId: facts.serverStartId,
      uptimeS: facts.uptimeS(),
      link,
      source: address,
    };
  });
}

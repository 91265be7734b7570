import { arch, platform, release } from 'node:os';
import { Diagnostics } from '../contract/diagnostics.ts';
import type { LiveHub } from '../live/live-hub.ts';
import type { MeasuringSession } from '../session/measuring-session.ts';
import type { TypedApp } from './app-parts.ts';

export interface DiagnosticsParts {
  readonly session: MeasuringSession;
  readonly hub: LiveHub;
  readonly softwareVersion: string;
  readonly wallMs: () => number;
  readonly uptimeS: () => number;
  /** Lines of the log without what was typed. */
  readonly logLines: () => Diagnostics['log'];
  /** Takes the user's own folder out of an address. */
  readonly withoutPersonalData: (text: string) => string;
}

/** The file that a person can send when something is wrong: made of counters and settings, never of the job record. */
export function registerDiagnosticsRoute(app: TypedApp, parts: DiagnosticsParts): void {
  const { session, hub } = parts;
  app.get('/api/diagnostics', { schema: { response: { 200: Diagnostics } } }, (_request, reply) => {
    const { rss, heapUsed } = process.memoryUsage();
    const { captures, source } = session;
    reply.header('content-disposition', 'attachment; filename="idlewright-diagnostics.json"');
    return {
      format: 'idlewright-diagnostics' as const,
      version: 1 as const,
      madeAtMs: parts.wallMs(),
      software: {
        version: parts.softwareVersion,
        node: process.version,
        platform: platform(),
        architecture: arch(),
        systemRelease: release(),
      },
      uptimeS: parts.uptimeS(),
      memoryBytes: { resident: rss, heapUsed },
      source: { ...source, address: parts.withoutPersonalData(source.address) },
      setup: session.setup,
      screens: { connected: hub.viewers, messagesFolded: hub.folded },
      captures: {
        listed: captures.length,
        interrupted: captures.filter(({ state }) => state === 'interrupted').length,
      },
      log: parts.logLines(),
    };
  });
}

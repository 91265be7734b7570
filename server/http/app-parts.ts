import type { IncomingMessage, ServerResponse } from 'node:http';
import type { TypeBoxTypeProvider } from '@fastify/type-provider-typebox';
import type { FastifyBaseLogger, FastifyInstance, RawServerDefault } from 'fastify';
import type { PracticePatch, PracticeState } from '../contract/practice.ts';
import type { CaptureStore } from '../jobs/capture-store.ts';
import type { JobCaptures } from '../jobs/job-captures.ts';
import type { LiveHub } from '../live/live-hub.ts';
import type { Outcome } from '../session/measuring-parts.ts';
import type { MeasuringSession } from '../session/measuring-session.ts';
import type { Door } from './access/door.ts';
import type { HostRule } from './allowed-hosts.ts';

export type TypedApp = FastifyInstance<
  RawServerDefault,
  IncomingMessage,
  ServerResponse,
  FastifyBaseLogger,
  TypeBoxTypeProvider
>;

/** The practice engine's panel. */
export interface PracticePanel {
  state(): PracticeState;
  change(patch: PracticePatch): Outcome<PracticeState>;
  blip(): void;
}

/** What the routes serve. */
export interface AppParts {
  readonly session: MeasuringSession;
  readonly store: CaptureStore;
  /** Captures that jobs speak of; of other benches too where the job record is shared. */
  readonly jobCaptures?: JobCaptures;
  /** A job that a capture may be put on, or null where there is none of that number. */
  readonly visit: (id: string) => Promise<{ readonly practice: boolean } | null>;
  readonly hub: LiveHub;
  readonly practice: PracticePanel | null;
  readonly hosts: HostRule;
  /** Where the requests come in; the instrument's own where it is left out. */
  readonly door?: Door;
  readonly facts: {
    readonly softwareVersion: string;
    readonly serverStartId: string;
    readonly uptimeS: () => number;
  };
  /** Folder of the built pages, or null to serve none. */
  readonly clientFolder: string | null;
  /** Further routes by subject, registered after ours and under the same rules. */
  readonly moreRoutes?: readonly ((app: TypedApp) => void | Promise<void>)[];
  readonly logger?: FastifyBaseLogger;
}

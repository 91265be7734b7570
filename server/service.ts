import { randomUUID } from 'node:crypto';
import type { AddressInfo } from 'node:net';
import { join } from 'node:path';
import type { FastifyBaseLogger } from 'fastify';
import { AutoSource } from './board/auto-source.ts';
import type { ByteSource } from './board/byte-source.ts';
import { listUsbPorts } from './board/list-ports.ts';
import { PracticeSource } from './board/practice-source.ts';
import { RecordingFile, RecordingSource } from './board/recording-source.ts';
import { ReplaySource } from './board/replay-source.ts';
import { SerialSource } from './board/serial-source.ts';
import type { SourceAddress } from './board/source-address.ts';
import { TcpSource } from './board/tcp-source.ts';
import { systemClock } from './clock.ts';
import { hostRule } from './http/allowed-hosts.ts';
import { buildApp } from './http/build-app.ts';
import { registerJobRoutes } from './http/jobs/register-job-routes.ts';
import type { CaptureRecords } from './jobs/capture-records.ts';
import { openStore } from './jobs/open-store.ts';
import { LiveHub } from './live/live-hub.ts';
import { recoverCaptures } from './recover-captures.ts';
import { channelScalesFor } from './session/channel-scales.ts';
import { MeasuringSession } from './session/measuring-session.ts';
import { newInstrument } from './session/new-instrument.ts';
import { readSetupFile, writeSetupFile } from './session/setup-file.ts';
import { StartError } from './start-error.ts';
import { StopStack } from './stop-stack.ts';

export interface ServiceOptions {
  readonly dataFolder: string;
  /** 0 takes any free one. */
  readonly port: number;
  readonly source: SourceAddress;
  /** Writes what the board sends to this file, or null. */
  readonly recordFile: string | null;
  readonly clientFolder: string | null;
  readonly softwareVersion: string;
  readonly logger: FastifyBaseLogger;
  /** Ports that `auto` looks at; the USB ones where it is left out. */
  readonly listPorts?: () => Promise<readonly string[]>;
}

export interface RunningService {
  readonly port: number;
  /** Stops everything in the reverse order of its start. */
  stop(): Promise<void>;
}

const LOOPBACK = '127.0.0.1';
const SETUP_FILE = 'setup.json';

/**
 * Starts all parts in order and wires them together.
 * @throws StartError when it cannot start; what had been started is stopped again
 */
export async function startService(options: ServiceOptions): Promise<RunningService> {
  const { logger } = options;
  const stops = new StopStack((name, error) => logger.error({ err: error }, `${name} did not stop cleanly`));
  const started = (name: string, stop: () => void | Promise<void>) =>
    stops.started(name, async () => {
      await stop();
      logger.info(`stopped ${name}`);
    });
  try {
    const port = await startParts(options, started);
    return { port, stop: () => stops.stopAll() };
  } catch (error) {
    await stops.stopAll();
    throw error;
  }
}

type Started = (name: string, stop: () => void | Promise<void>) => void;

async function startParts(options: ServiceOptions, started: Started): Promise<number> {
  const { logger, softwareVersion, dataFolder } = options;
  const clock = systemClock;
  const startedMs = clock.nowMs();
  const serverStartId = randomUUID();

  const opened = await openStore(dataFolder);
  if (!opened.ok) throw new StartError(opened.code, opened.detail);
  const { store } = opened;
  started('store', () => store.close());

  const setupFile = join(dataFolder, SETUP_FILE);
  const session: MeasuringSession = new MeasuringSession({
    clock,
    store: store.captures,
    setup: readSetupFile(setupFile),
    softwareVersion,
    scalesFor: (identity) => channelScalesFor(identity),
    newInstrument,
    publish: (message) => hub.publish(message),
    saveSetup: (setup) => {
      try {
        writeSetupFile(setupFile, setup);
      } catch (error) {
        logger.warn({ err: error }, 'the set-up could not be kept');
      }
    },
    log: (text) => logger.info(text),
  });
  const practice = new PracticeSource({
    clock,
    onPracticeState: (state) => hub.publish({ type: 'event', event: 'practice', practice: state }),
  });
  const hub = new LiveHub({
    clock,
    serverStartId,
    softwareVersion,
    snapshot: () => ({
      type: 'snapshot',
      source: session.source,
      setup: session.setup,
      update: session.update,
      captures: session.captures,
      practice: session.source.practice ? practice.practiceState() : null,
    }),
    onTrouble: (detail) => logger.error(detail),
  });
  started('live hub', () => hub.stop());
  started('session', () => session.stop());

  startSource(options, { session, practice, hub }, started);

  const app = await buildApp({
    session,
    store: store.captures,
    hub,
    practice: practice.panel,
    hosts: hostRule(),
    facts: { softwareVersion, serverStartId, uptimeS: () => (clock.nowMs() - startedMs) / 1000 },
    clientFolder: options.clientFolder,
    logger,
    moreRoutes: [(more) => registerJobRoutes(more, { store, softwareVersion, wallMs: () => clock.wallMs() })],
  });
  started('http', () => app.close());
  try {
    await app.listen({ host: LOOPBACK, port: options.port });
  } catch (error) {
    const { code } = error as NodeJS.ErrnoException;
    if (code === 'EADDRINUSE') throw new StartError('port-in-use', `port ${options.port}`);
    if (code === 'EACCES') throw new StartError('port-not-allowed', `port ${options.port}`);
    throw error;
  }
  recoverInBackground(store.captures, { session, practice, hub }, options, started);
  return (app.server.address() as AddressInfo).port;
}

function recoverInBackground(
  captures: CaptureRecords,
  { hub }: Measured,
  { logger }: ServiceOptions,
  started: Started,
) {
  let stopped = false;
  const pause = async () => {
    await new Promise((resolve) => setImmediate(resolve));
    return !stopped;
  };
  const work = recoverCaptures(captures, pause, (capture) =>
    hub.publish({ type: 'event', event: 'capture', capture }),
  ).catch((error) => logger.error({ err: error }, 'a capture could not be computed again'));
  started('recovery of captures', () => {
    stopped = true;
    return work;
  });
}

interface Measured {
  readonly session: MeasuringSession;
  readonly practice: PracticeSource;
  readonly hub: LiveHub;
}

function startSource(options: ServiceOptions, { session, practice, hub }: Measured, started: Started): void {
  const { source, recordFile, logger } = options;
  const clock = systemClock;
  const file =
    recordFile === null
      ? null
      : new RecordingFile(recordFile, clock, (detail) => logger.error(`recording: ${detail}`));
  const recorded = (inner: ByteSource) => (file === null ? inner : new RecordingSource(inner, file));
  if (source.kind !== 'auto') {
    session.useSource(recorded(fixedSource(source, practice)));
    return;
  }
  const auto = new AutoSource({
    clock,
    practice,
    listPorts: options.listPorts ?? listUsbPorts,
    openPort: (path) => new SerialSource(path),
    choose: (chosen) => {
      session.useSource(recorded(chosen));
      if (chosen === practice) {
        hub.publish({ type: 'event', event: 'practice', practice: practice.practiceState() });
      }
    },
    isRealBoardLive: () => session.live && !session.source.practice,
    mayLeaveFor: (boardId) => {
      const captured = session.capturedBoard;
      return captured === null || (!captured.practice && captured.boardId === boardId);
    },
    onTrouble: (code) => session.setTrouble(code),
  });
  started('search for boards', () => auto.stop());
  auto.start();
}

function fixedSource(
  address: Exclude<SourceAddress, { kind: 'auto' }>,
  practice: PracticeSource,
): ByteSource {
  switch (address.kind) {
    case 'practice':
      return practice;
    case 'serial':
      return new SerialSource(address.path);
    case 'tcp':
      return new TcpSource(address.host, address.port);
    case 'replay':
      return new ReplaySource(address.file, systemClock);
  }
}

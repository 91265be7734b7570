import { randomUUID } from 'node:crypto';
import { join } from 'node:path';
import type { FastifyBaseLogger } from 'fastify';
import { PracticeSource } from './board/practice-source.ts';
import type { SourceAddress } from './board/source-address.ts';
import { systemClock } from './clock.ts';
import type { AccessState } from './contract/access.ts';
import type { LiveMessage } from './contract/live.ts';
import { LOOPBACK_RULE, ownAddressRule } from './http/allowed-hosts.ts';
import type { AppParts } from './http/app-parts.ts';
import { registerBoardHealthRoutes } from './http/board-health-routes.ts';
import { buildApp } from './http/build-app.ts';
import { registerCalibrationRoutes } from './http/calibration-routes.ts';
import { registerCheckRoutes } from './http/check-routes.ts';
import { registerDiagnosticsRoute } from './http/diagnostics-route.ts';
import { registerJobRoutes } from './http/jobs/register-job-routes.ts';
import { storeBackups } from './jobs/backup/store-backups.ts';
import { openStore } from './jobs/open-store.ts';
import type { RecordsAddress } from './jobs/postgres/records-address.ts';
import { shareRecords } from './jobs/postgres/share-records.ts';
import { visitWithoutWaiting } from './jobs/postgres/visit-without-waiting.ts';
import { EVERYWHERE, LOOPBACK, listen } from './listen.ts';
import { LiveHub } from './live/live-hub.ts';
import { type LogRing, withoutPersonalData } from './log-ring.ts';
import { type NetworkOptions, openToNetwork } from './open-to-network.ts';
import { recoverInBackground } from './recover-captures.ts';
import { BoardCalibrations } from './session/board-calibrations.ts';
import { BoardWatch } from './session/board-watch.ts';
import { CheckDesk } from './session/checks/check-desk.ts';
import { spotCylinder } from './session/checks/spot-cylinder.ts';
import { MeasuringSession } from './session/measuring-session.ts';
import { newInstrument } from './session/new-instrument.ts';
import { readSetupFile, writeSetupFile } from './session/setup-file.ts';
import { StartError } from './start-error.ts';
import { startSource } from './start-source.ts';
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
  /** The newest lines of that log, for the diagnostics. */
  readonly logRing?: LogRing;
  /** Ports that `auto` looks at; the USB ones where it is left out. */
  readonly listPorts?: () => Promise<readonly string[]>;
  /** The door to the network; without it the loopback address is the only one. */
  readonly network?: NetworkOptions | null;
  /** The server of a job record that several benches share; the bench's own file without it. */
  readonly records?: RecordsAddress | null;
}

export interface RunningService {
  readonly port: number;
  /** Where other devices find it; null without a door to the network. */
  readonly network: (NonNullable<AccessState['lan']> & { readonly port: number }) | null;
  /** Stops everything in the reverse order of its start. */
  stop(): Promise<void>;
}

type Started = (name: string, stop: () => void | Promise<void>) => void;

const SETUP_FILE = 'setup.json';

/**
 * Starts all parts in order and wires them together.
 * @throws StartError when it cannot start; what had been started is stopped again
 */
export async function startService(options: ServiceOptions): Promise<RunningService> {
  const { logger } = options;
  const stops = new StopStack(systemClock, (name, error) =>
    logger.error({ err: error }, `${name} did not stop cleanly`),
  );
  const started: Started = (name, stop) =>
    stops.started(name, async () => {
      await stop();
      logger.info(`stopped ${name}`);
    });
  try {
    const listening = await startParts(options, started);
    return { ...listening, stop: () => stops.stopAll() };
  } catch (error) {
    await stops.stopAll();
    throw error;
  }
}

async function startParts(options: ServiceOptions, started: Started): Promise<Omit<RunningService, 'stop'>> {
  const { logger, softwareVersion, dataFolder } = options;
  const clock = systemClock;
  const log = (text: string) => logger.info(text);
  const startedMs = clock.nowMs();
  const serverStartId = randomUUID();

  const opened = await openStore(dataFolder);
  if (!opened.ok) throw new StartError(opened.code, opened.detail);
  const bench = opened.store;
  started('store', () => bench.close());

  const sharing =
    options.records == null
      ? null
      : shareRecords(bench, { address: options.records, clock, log: (text) => logger.warn(text) });
  const store = sharing?.store ?? bench;
  if (sharing !== null) {
    sharing.delivery.start();
    started('shared job record', () => sharing.close());
  }
  const visit = (id: string) =>
    sharing === null
      ? store.records.visits.get(id)
      : visitWithoutWaiting(store.records, clock, id, { practice: session.practice });

  // Of what is on this bench; a shared record is looked after on its server.
  const backups = storeBackups(bench, { clock, softwareVersion, log });
  backups.start();
  started('backups', () => backups.stop());

  const publish = (message: LiveMessage) => hub.publish(message);
  const calibrations: BoardCalibrations = new BoardCalibrations({
    store: store.calibrations,
    wallMs: () => clock.wallMs(),
    softwareVersion,
    log,
    practice: () => session.practice,
    live: () => session.live,
    captureRunning: () => session.capturedBoard !== null,
    barometricKpa: () => session.setup.barometricKpa,
    renewed: () => session.renewScales(),
  });
  const watch: BoardWatch = new BoardWatch({
    wallMs: () => clock.wallMs(),
    counters: () => session.source.counters,
  });
  const checks: CheckDesk = new CheckDesk({
    store: store.checkResults,
    nowMs: () => clock.nowMs(),
    wallMs: () => clock.wallMs(),
    softwareVersion,
    log,
    live: () => session.live,
    practice: () => session.practice,
    setup: () => session.setup,
    uncertaintyKpa: () => session.sensorUncertaintyKpa,
    visit,
    onPress: (spot, down) => {
      const cylinder = spotCylinder(spot);
      if (cylinder !== null) practice.coverLeak(cylinder, down);
    },
    onDisable: (cylinder, disabled) => practice.switchSpark(cylinder, !disabled),
  });
  const setupFile = join(dataFolder, SETUP_FILE);
  const session: MeasuringSession = new MeasuringSession({
    clock,
    store: store.captures,
    setup: readSetupFile(setupFile, (text) => logger.warn(text)),
    softwareVersion,
    scalesFor: (identity) => calibrations.scalesFor(identity),
    observers: [calibrations, watch, checks],
    calibrationSentence: () => calibrations.sentence(),
    newInstrument,
    publish,
    saveSetup: (setup) => {
      try {
        writeSetupFile(setupFile, setup);
      } catch (error) {
        logger.warn({ err: error }, 'the set-up could not be kept');
      }
    },
    log,
  });
  const practice = new PracticeSource({
    clock,
    onPracticeState: (state) => publish({ type: 'event', event: 'practice', practice: state }),
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

  const stopSearch = startSource({
    ...options,
    clock,
    session,
    practice,
    onPractice: () => publish({ type: 'event', event: 'practice', practice: practice.practiceState() }),
  });
  if (stopSearch !== null) started('search for boards', stopSearch);

  const network = options.network
    ? await openToNetwork(options.network, { dataFolder, clock, logger })
    : null;
  let networkPort = 0;
  const served: Omit<AppParts, 'hosts' | 'door'> = {
    session,
    store: store.captures,
    jobCaptures: store.records.captures,
    hub,
    practice: practice.panel,
    facts: { softwareVersion, serverStartId, uptimeS: () => (clock.nowMs() - startedMs) / 1000 },
    clientFolder: options.clientFolder,
    visit,
    logger,
    moreRoutes: [
      (more) => registerCalibrationRoutes(more, calibrations),
      (more) => registerBoardHealthRoutes(more, watch),
      (more) =>
        registerDiagnosticsRoute(more, {
          ...served.facts,
          session,
          hub,
          wallMs: () => clock.wallMs(),
          logLines: () => [...(options.logRing?.lines ?? [])],
          withoutPersonalData,
        }),
      (more) =>
        registerCheckRoutes(more, { desk: checks, store: store.checkResults, jobs: store.records.checks }),
      (more) =>
        registerJobRoutes(more, { store, sharing, backups, softwareVersion, wallMs: () => clock.wallMs() }),
    ],
  };
  const app = await buildApp({
    ...served,
    hosts: LOOPBACK_RULE,
    door: { kind: 'instrument', desk: network?.desk ?? null, lan: () => network?.lan(networkPort) ?? null },
  });
  started('http', () => app.close());
  const port = await listen(app, LOOPBACK, options.port);
  if (network !== null) {
    const outer = await buildApp({
      ...served,
      hosts: ownAddressRule(network.protocol),
      door: network.door,
    });
    started('door to the network', () => outer.close());
    networkPort = await listen(outer, EVERYWHERE, options.network?.port ?? 0);
  }
  started(
    'recovery of captures',
    recoverInBackground(
      store.captures,
      (capture) => publish({ type: 'event', event: 'capture', capture }),
      (error) => logger.error({ err: error }, 'a capture could not be computed again'),
    ),
  );
  return {
    port,
    network: network === null ? null : { ...network.lan(networkPort), port: networkPort },
  };
}

#!/usr/bin/env node
/** The command line. The only file that reads the environment. */
import { existsSync, readFileSync } from 'node:fs';
import { homedir } from 'node:os';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { Command, CommanderError, InvalidArgumentError, Option } from 'commander';
import type { Level, StreamEntry } from 'pino';
import { registerAnalyse } from './analysis/analyse-command.ts';
import { formatSourceAddress, parseSourceAddress, type SourceAddress } from './board/source-address.ts';
import { parseRecordsAddress, type RecordsAddress } from './jobs/postgres/records-address.ts';
import { registerRecordsCommands } from './jobs/records-commands.ts';
import { isNodeVersionGood } from './node-version.ts';
import type { NetworkOptions } from './open-to-network.ts';
import { StartError } from './start-error.ts';
import { USUAL_PORT } from './usual-port.ts';

const EXIT_CANNOT_START = 2;
const EXIT_FAILED = 1;

interface ServeOptions {
  readonly port: number;
  readonly data: string;
  readonly source: SourceAddress;
  readonly record?: string;
  readonly records?: string;
  readonly lan?: true;
  readonly lanPort?: number;
  readonly tls?: true;
  readonly tlsCert?: string;
  readonly tlsKey?: string;
}

await main();

async function main(): Promise<void> {
  try {
    if (!isNodeVersionGood(process.versions.node))
      throw new StartError('node-version', process.versions.node);
    await commandLine().parseAsync(process.argv);
  } catch (error) {
    if (error instanceof CommanderError && error.exitCode === 0) return;
    if (error instanceof CommanderError) {
      fail(new StartError('bad-option', oneLine(error.message)).message, EXIT_CANNOT_START);
    } else if (error instanceof StartError) {
      fail(error.message, EXIT_CANNOT_START);
    } else {
      fail(error instanceof Error ? (error.stack ?? error.message) : String(error), EXIT_FAILED);
    }
  }
}

function commandLine(): Command {
  const program = new Command('idlewright')
    .description('live carburettor-balance and idle-quality instrument with a job record')
    .version(packageFacts().version)
    .option(
      '--port <number>',
      'network port of this computer to serve on, 0 for any free one',
      portNumber,
      USUAL_PORT,
    )
    .option('--data <folder>', 'where jobs and captures are kept', defaultDataFolder())
    .addOption(
      new Option('--source <source>', 'auto, practice, serial:PATH, tcp:HOST:PORT or replay:FILE')
        .argParser(source)
        .default({ kind: 'auto' } satisfies SourceAddress, 'auto'),
    )
    .option('--record <file>', 'also write what the board sends to a file for replay:FILE')
    .option(
      '--records <url>',
      'keep jobs on a PostgreSQL server that several benches share: postgres://USER@HOST/DATABASE, also taken from IDLEWRIGHT_RECORDS; keep the password in ~/.pgpass',
    )
    .option('--lan', 'also serve devices of your own network, each let in by a code shown on this computer')
    .option(
      '--lan-port <number>',
      'network port for other devices (default: the one after --port)',
      portNumber,
    )
    .option(
      '--tls',
      'encrypt what goes over the network, with a certificate made and kept in the data folder',
    )
    .option('--tls-cert <file>', 'a certificate of your own instead, as PEM')
    .option('--tls-key <file>', 'its key, as PEM')
    .action(serve)
    .exitOverride()
    // The sentence is printed once, by `main`.
    .configureOutput({ outputError: () => {} });
  registerAnalyse(program, {
    write: (text) => process.stdout.write(text),
    writeError: (text) => process.stderr.write(text),
    exit: (status) => {
      process.exitCode = status;
    },
  });
  registerRecordsCommands(program, {
    softwareVersion: packageFacts().version,
    wallMs: () => Date.now(),
    records: () => recordsAddress(program.opts().records as string | undefined),
    write: (text) => process.stdout.write(text),
    fail: (sentence) => fail(sentence, EXIT_FAILED),
  });
  return program;
}

async function serve(options: ServeOptions): Promise<void> {
  const { startService } = await import('./service.ts');
  const { pino } = await import('pino');
  const { version, folder } = packageFacts();
  const records = recordsAddress(options.records);
  const { LogRing } = await import('./log-ring.ts');
  const logRing = new LogRing();
  const level = process.env.IDLEWRIGHT_LOG_LEVEL ?? 'warn';
  const streams: StreamEntry[] = [{ level: 'info', stream: logRing }];
  if (level !== 'silent')
    streams.push({ level: level as Level, stream: pino.destination({ fd: 2, sync: true }) });
  const logger = pino(
    { level: isMoreThanInfo(level) ? level : 'info', base: null },
    pino.multistream(streams),
  );
  const clientFolder = join(folder, 'dist', 'client');
  const built = existsSync(join(clientFolder, 'index.html'));
  if (!built) logger.warn('the pages are not built: run "npm run build"');
  const service = await startService({
    dataFolder: options.data,
    port: options.port,
    source: options.source,
    recordFile: options.record ?? null,
    clientFolder: built ? clientFolder : null,
    softwareVersion: version,
    logger,
    logRing,
    network: networkOptions(options),
    records,
  });
  let stopping = false;
  const stop = async (status: number) => {
    if (stopping) return;
    stopping = true;
    await service.stop();
    process.exit(status);
  };
  process.on('SIGTERM', () => void stop(0));
  process.on('SIGINT', () => void stop(0));
  process.on('SIGHUP', () => void stop(0));
  process.on('uncaughtException', (error) => {
    logger.fatal({ err: error }, 'unexpected failure');
    void stop(EXIT_FAILED);
  });
  process.stdout.write(
    `Idlewright ${version}, source ${formatSourceAddress(options.source)}, data in ${options.data}\n`,
  );
  if (records !== null) process.stdout.write(`job record shared on ${records.shown}\n`);
  if (service.network !== null) {
    const { addresses, port, fingerprint } = service.network;
    process.stdout.write(
      `open to let-in devices on port ${port}: ${addresses.join(' ') || 'this computer is on no network'}\n`,
    );
    if (fingerprint !== null) process.stdout.write(`certificate SHA-256 ${fingerprint}\n`);
  }
  process.stdout.write(`listening on http://127.0.0.1:${service.port}\n`);
}

/** @throws StartError that does not repeat the text, for it may hold a password */
function recordsAddress(option: string | undefined): RecordsAddress | null {
  const text = option ?? process.env.IDLEWRIGHT_RECORDS ?? '';
  if (text === '') return null;
  const address = parseRecordsAddress(text);
  if (address === null) throw new StartError('bad-option', '--records takes postgres://USER@HOST/DATABASE');
  return address;
}

/** @throws StartError for options that say nothing together */
function networkOptions(options: ServeOptions): NetworkOptions | null {
  const { lan, lanPort, tls, tlsCert, tlsKey, port } = options;
  if (lan === undefined) {
    if (lanPort !== undefined || tls !== undefined || tlsCert !== undefined || tlsKey !== undefined)
      throw new StartError('bad-option', '--lan-port and the --tls options go with --lan');
    return null;
  }
  if ((tlsCert === undefined) !== (tlsKey === undefined))
    throw new StartError('bad-option', '--tls-cert and --tls-key go together');
  const own = tls === undefined ? 'none' : 'own';
  return {
    port: lanPort ?? (port === 0 ? 0 : port < 65_535 ? port + 1 : port - 1),
    tls: tlsCert === undefined || tlsKey === undefined ? own : { certificateFile: tlsCert, keyFile: tlsKey },
  };
}

function fail(sentence: string, status: number): void {
  process.stderr.write(`idlewright: ${sentence}\n`);
  process.exitCode = status;
}

function oneLine(message: string): string {
  return message.replace(/^error: /, '').replace(/\s*\n\s*/g, ' ');
}

function portNumber(text: string): number {
  const port = Number(text);
  if (!/^\d+$/.test(text) || port > 65_535)
    throw new InvalidArgumentError('a port is a number from 0 to 65535.');
  return port;
}

function source(text: string): SourceAddress {
  const parsed = parseSourceAddress(text);
  if (!parsed.ok) throw new InvalidArgumentError(parsed.sentence);
  return parsed.address;
}

/** Whether a level of the log tells more than the file for diagnostics keeps. */
function isMoreThanInfo(level: string): boolean {
  return level === 'debug' || level === 'trace';
}

/** Of this user, where the system wants such things to be. */
function defaultDataFolder(): string {
  const { XDG_DATA_HOME, LOCALAPPDATA } = process.env;
  if (process.platform === 'win32')
    return join(LOCALAPPDATA ?? join(homedir(), 'AppData', 'Local'), 'idlewright');
  if (process.platform === 'darwin') return join(homedir(), 'Library', 'Application Support', 'idlewright');
  return join(XDG_DATA_HOME || join(homedir(), '.local', 'share'), 'idlewright');
}

/** Version and folder of the package, from the source as well as from what was built of it. */
function packageFacts(): { version: string; folder: string } {
  let folder = dirname(fileURLToPath(import.meta.url));
  while (!existsSync(join(folder, 'package.json'))) {
    const above = dirname(folder);
    if (above === folder) return { version: '0.0.0', folder };
    folder = above;
  }
  const { version } = JSON.parse(readFileSync(join(folder, 'package.json'), 'utf8')) as { version: string };
  return { version, folder };
}

import { mkdtempSync, rmSync } from 'node:fs';
import { type IncomingHttpHeaders, type IncomingMessage, type RequestOptions, request } from 'node:http';
import { request as tlsRequest } from 'node:https';
import { connect, type Socket } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import WebSocket from 'ws';
import type { AccessState, DeviceRole } from '../../server/contract/access.ts';
import { until } from '../server/board/scripted-board.ts';
import { RunningService } from '../server/running-service.ts';
import { builtProgram } from '../whole/built-program.ts';

/** In place of a status: the connection was closed before an answer could be read. */
export const CUT_OFF = 0;

export interface Answer {
  readonly status: number;
  readonly headers: IncomingHttpHeaders;
  readonly body: string;
}

export interface Ask {
  readonly method?: string;
  readonly headers?: Record<string, string>;
  readonly body?: string | Buffer;
  /** Goes over TLS and trusts this certificate; null trusts none. */
  readonly certificate?: string | null;
}

/** The built program with a door to the network, in a process of its own, and what attackers do to it. */
export class AttackedService {
  readonly folder: string;
  readonly service: RunningService;
  readonly #ownsFolder: boolean;
  readonly #sockets: Socket[] = [];

  private constructor(service: RunningService, folder: string, ownsFolder: boolean) {
    this.service = service;
    this.folder = folder;
    this.#ownsFolder = ownsFolder;
  }

  /** @param folder of an earlier start, or a new one that goes away at the end */
  static async start(
    args: readonly string[] = [],
    folder?: string,
    env: Record<string, string> = {},
  ): Promise<AttackedService> {
    const data = folder ?? mkdtempSync(join(tmpdir(), 'idlewright-attacked-'));
    const service = await RunningService.start(
      ['--source', 'practice', '--port', '0', '--data', data, '--lan', ...args],
      env,
      builtProgram(),
    );
    return new AttackedService(service, data, folder === undefined);
  }

  async stop(): Promise<void> {
    for (const socket of this.#sockets) socket.destroy();
    await this.service.kill('SIGTERM');
    if (this.#ownsFolder) rmSync(this.folder, { recursive: true, force: true });
  }

  /** Of the door to the network. A connection to it from 127.0.0.1 is a stranger's like any other. */
  get networkPort(): number {
    const port = /open to let-in devices on port (\d+)/.exec(this.service.stdout)?.[1];
    if (port === undefined) throw new Error('no door to the network');
    return Number(port);
  }

  /** As a device of the network. */
  network(path: string, ask: Ask = {}): Promise<Answer> {
    return askAt(this.networkPort, path, ask);
  }

  /** As a browser on the computer itself. */
  instrument(path: string, ask: Ask = {}): Promise<Answer> {
    return askAt(this.service.port, path, ask);
  }

  async access(): Promise<AccessState> {
    return JSON.parse((await this.instrument('/api/access')).body) as AccessState;
  }

  /** The person asks for a code on the instrument's screen. */
  async code(role: DeviceRole = 'operate'): Promise<string> {
    const made = await this.instrument('/api/access/offer', json({ role }));
    return (JSON.parse(made.body) as AccessState).offer!.code;
  }

  /** A device is let in. @returns its Cookie header */
  async letIn(role: DeviceRole = 'operate', name = 'Tablet', certificate?: string): Promise<string> {
    const code = await this.code(role);
    const answer = await this.network('/api/access/let-in', {
      ...json({ code, name }),
      ...(certificate === undefined ? {} : { certificate }),
    });
    if (answer.status !== 200) throw new Error(`not let in: ${answer.status} ${answer.body}`);
    return answer.headers['set-cookie']![0]!.split(';')[0]!;
  }

  /** A live connection to the door of the network. */
  live(headers: Record<string, string> = {}, port = this.networkPort): LiveTry {
    return new LiveTry(`ws://127.0.0.1:${port}/live`, headers);
  }

  /** A bare connection. It is closed at the end of the test at the latest. */
  async bare(port = this.networkPort): Promise<BareConnection> {
    const socket = connect({ port, host: '127.0.0.1' });
    this.#sockets.push(socket);
    const bare = new BareConnection(socket);
    await until('connected', () => !socket.connecting);
    return bare;
  }
}

export function json(body: unknown): Ask & { readonly headers: Record<string, string> } {
  return { method: 'POST', headers: { 'content-type': 'application/json' }, body: JSON.stringify(body) };
}

export class LiveTry {
  readonly socket: WebSocket;
  messages = 0;
  /** Status of the refusal, 101 when there was none. */
  status: number | null = null;
  closed = false;

  constructor(url: string, headers: Record<string, string>, options: WebSocket.ClientOptions = {}) {
    this.socket = new WebSocket(url, { headers, ...options });
    this.socket.on('open', () => {
      this.status = 101;
    });
    this.socket.on('message', () => {
      this.messages++;
    });
    this.socket.on('unexpected-response', (_request, response) => {
      this.status = response.statusCode ?? 0;
      this.socket.terminate();
    });
    this.socket.on('error', () => {});
    this.socket.on('close', () => {
      this.closed = true;
    });
  }

  /** @returns the status of the answer, 0 where the connection was cut without one */
  async decided(): Promise<number> {
    await until('an answer to the upgrade', () => this.status !== null || this.closed);
    return this.status ?? 0;
  }
}

export class BareConnection {
  received = '';
  closed = false;
  readonly socket: Socket;

  constructor(socket: Socket) {
    this.socket = socket;
    socket.on('data', (bytes) => {
      this.received += bytes.toString('latin1');
    });
    socket.on('error', () => {});
    socket.on('close', () => {
      this.closed = true;
    });
  }
}

function askAt(
  port: number,
  path: string,
  { method = 'GET', headers = {}, body, certificate }: Ask,
): Promise<Answer> {
  return new Promise((resolve, reject) => {
    const options: RequestOptions = {
      host: '127.0.0.1',
      port,
      path,
      method,
      agent: false,
      headers: {
        ...headers,
        ...(body === undefined ? {} : { 'content-length': String(Buffer.byteLength(body)) }),
      },
    };
    const take = (answer: IncomingMessage) => {
      let text = '';
      answer.setEncoding('utf8');
      answer.on('data', (piece: string) => {
        text += piece;
      });
      answer.on('error', reject);
      answer.on('end', () =>
        resolve({ status: answer.statusCode ?? 0, headers: answer.headers, body: text }),
      );
    };
    const sent =
      certificate === undefined
        ? request(options, take)
        : tlsRequest({ ...options, ...(certificate === null ? {} : { ca: certificate }) }, take);
    sent.on('error', (error: NodeJS.ErrnoException) => {
      const cut = error.code === 'EPIPE' || error.code === 'ECONNRESET';
      if (cut) resolve({ status: CUT_OFF, headers: {}, body: '' });
      else reject(error);
    });
    sent.end(body);
  });
}

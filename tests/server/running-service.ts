import { type ChildProcess, spawn } from 'node:child_process';
import { once } from 'node:events';
import { resolve } from 'node:path';
import WebSocket from 'ws';
import type { LiveMessage, Update } from '../../server/contract/live.ts';

const ROOT = resolve(import.meta.dirname, '../..');

export interface Ended {
  status: number | null;
  signal: NodeJS.Signals | null;
  stdout: string;
  stderr: string;
}

/** The program in a process of its own, from its source, as a person starts it. */
export class RunningService {
  stdout = '';
  stderr = '';
  readonly process: ChildProcess;
  readonly ended: Promise<Ended>;
  port = 0;
  /** Steady clock of this process when the ready line came [ms]. */
  listeningAtMs = 0;

  private constructor(args: readonly string[], env: Record<string, string>, built?: string) {
    const program = built === undefined ? ['--import', 'tsx', 'server/main.ts'] : [built];
    this.process = spawn(process.execPath, [...program, ...args], {
      cwd: ROOT,
      env: { ...process.env, ...env },
      stdio: ['ignore', 'pipe', 'pipe'],
    });
    this.process.stdout?.on('data', (bytes: Buffer) => {
      this.stdout += bytes;
      if (this.port !== 0) return;
      const ready = /^listening on http:\/\/127\.0\.0\.1:(\d+)$/m.exec(this.stdout);
      if (ready !== null) {
        this.port = Number(ready[1]);
        this.listeningAtMs = performance.now();
      }
    });
    this.process.stderr?.on('data', (bytes: Buffer) => {
      this.stderr += bytes;
    });
    this.ended = once(this.process, 'close').then(([status, signal]) => ({
      status: status as number | null,
      signal: signal as NodeJS.Signals | null,
      stdout: this.stdout,
      stderr: this.stderr,
    }));
  }

  /** Starts it and waits for its end. */
  static async run(args: readonly string[], env: Record<string, string> = {}): Promise<Ended> {
    return new RunningService(args, env).ended;
  }

  /**
   * Starts it and waits until it listens.
   * @param built what was built of it, to be run in place of the source
   */
  static async start(
    args: readonly string[],
    env: Record<string, string> = {},
    built?: string,
  ): Promise<RunningService> {
    const service = new RunningService(args, env, built);
    const ended = service.ended.then(({ stderr }) => {
      throw new Error(`the service ended before it listened: ${stderr}`);
    });
    ended.catch(() => {});
    while (service.port === 0) await Promise.race([ended, new Promise((next) => setTimeout(next, 5))]);
    return service;
  }

  get url(): string {
    return `http://127.0.0.1:${this.port}`;
  }

  async kill(signal: NodeJS.Signals): Promise<Ended> {
    this.process.kill(signal);
    return this.ended;
  }

  async get<T>(path: string): Promise<T> {
    const answer = await fetch(this.url + path);
    if (!answer.ok) throw new Error(`GET ${path}: ${answer.status} ${await answer.text()}`);
    return (await answer.json()) as T;
  }

  async send<T>(method: 'POST' | 'PATCH', path: string, body?: unknown): Promise<T> {
    const answer = await fetch(this.url + path, {
      method,
      ...(body === undefined
        ? {}
        : { headers: { 'content-type': 'application/json' }, body: JSON.stringify(body) }),
    });
    const text = await answer.text();
    if (!answer.ok) throw new Error(`${method} ${path}: ${answer.status} ${text}`);
    return (text === '' ? undefined : JSON.parse(text)) as T;
  }

  /** Joins as a viewer. */
  watch(): Viewer {
    return new Viewer(`ws://127.0.0.1:${this.port}/live`);
  }
}

/** A viewer that keeps what it was sent. */
export class Viewer {
  readonly messages: LiveMessage[] = [];
  /** Steady clock at the arrival of each message [ms]. */
  readonly arrivedAtMs: number[] = [];
  readonly socket: WebSocket;

  constructor(url: string) {
    this.socket = new WebSocket(url);
    this.socket.on('error', () => {});
    this.socket.on('message', (data) => {
      this.messages.push(JSON.parse(String(data)) as LiveMessage);
      this.arrivedAtMs.push(performance.now());
    });
  }

  get updates(): Update[] {
    return this.messages.filter((message): message is Update => message.type === 'update');
  }

  get newest(): Update | undefined {
    return this.updates.at(-1);
  }

  leave(): void {
    this.socket.terminate();
  }
}

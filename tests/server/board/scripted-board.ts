import { type ChildProcess, execFile, spawn } from 'node:child_process';
import { existsSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { promisify } from 'node:util';
import { decodeCommand } from '../../../firmware-protocol/decode-command.ts';
import { encodeLine } from '../../../firmware-protocol/encode-line.ts';
import type { BoardCommand, IdentityLine, SampleLine } from '../../../firmware-protocol/lines.ts';

export const TEST_IDENTITY: IdentityLine = {
  kind: 'identity',
  protocolVersion: 1,
  boardId: 'scripted-1',
  firmwareVersion: '1.0.0',
  sensorTypes: ['MPX4115A', 'MPX4115A'],
  sampleRateHz: 200,
  clockRateHz: 1_000_000,
  conversionTicks: 100,
  fullScaleCounts: 1023,
};

export interface BoardScript {
  identity?: IdentityLine;
  /** Sent instead of an identity, for boards that no encoder of ours would make. */
  identityText?: string;
  /** Says nothing at all. */
  mute?: boolean;
  /** Readable only at this line speed: at any other the computer sees noise. */
  baudRate?: number;
  /** Sends this over and over from the start. */
  noise?: () => Uint8Array;
  /** Starts to send samples when told to. */
  samples?: boolean;
}

/** The counts of a sample follow from its sequence number, so that a glued or altered line shows. */
export function countsFor(sequence: number, channels: number): number[] {
  return Array.from({ length: channels }, (_, channel) => (sequence * 7 + channel * 131) % 1000);
}

const run = promisify(execFile);

/** A board on a real pseudo-terminal made by socat, that can be told to misbehave and be unplugged. */
export class ScriptedBoard {
  readonly path: string;
  readonly commands: BoardCommand[] = [];
  readonly script: BoardScript;
  sequence = 0;
  timeTicks = 0;
  readonly #process: ChildProcess;
  #timer: NodeJS.Timeout | null = null;
  #half = '';

  private constructor(path: string, process: ChildProcess, script: BoardScript) {
    this.path = path;
    this.#process = process;
    this.script = script;
    process.stdout?.on('data', (bytes: Buffer) => void this.#hear(bytes.toString('latin1')));
    process.stdin?.on('error', () => {});
    if (script.noise !== undefined) this.every(10, () => this.sendRaw(script.noise?.() ?? ''));
  }

  static async plugIn(path: string, script: BoardScript = {}): Promise<ScriptedBoard> {
    rmSync(path, { force: true });
    const process = spawn('socat', [`PTY,link=${path},raw,echo=0`, 'STDIO'], {
      stdio: ['pipe', 'pipe', 'inherit'],
    });
    await new Promise<void>((resolve, reject) => {
      process.once('error', (error) => reject(new Error(`socat is needed for this test: ${error.message}`)));
      process.once('spawn', resolve);
    });
    for (let waitedMs = 0; !existsSync(path); waitedMs += 5) {
      if (waitedMs > 5_000) throw new Error('socat made no pseudo-terminal within 5 s');
      await sleep(5);
    }
    return new ScriptedBoard(path, process, script);
  }

  /** As pulling the cable: the port is gone at once, whatever was under way. */
  async unplug(): Promise<void> {
    this.quiet();
    if (this.#process.exitCode !== null || this.#process.signalCode !== null) return;
    const gone = new Promise((resolve) => this.#process.once('exit', resolve));
    this.#process.kill('SIGKILL');
    await gone;
    rmSync(this.path, { force: true });
  }

  every(intervalMs: number, call: () => void): void {
    this.quiet();
    this.#timer = setInterval(call, intervalMs);
  }

  quiet(): void {
    if (this.#timer !== null) clearInterval(this.#timer);
    this.#timer = null;
  }

  sendRaw(bytes: string | Uint8Array): void {
    this.#process.stdin?.write(typeof bytes === 'string' ? Buffer.from(bytes, 'latin1') : bytes);
  }

  sendIdentity(): void {
    this.sendRaw(this.script.identityText ?? encodeLine(this.script.identity ?? TEST_IDENTITY));
  }

  /** The text of the next sample, whether it is sent or not. */
  nextSample(): string {
    const identity = this.script.identity ?? TEST_IDENTITY;
    this.sequence = (this.sequence + 1) % 65_536;
    this.timeTicks += identity.clockRateHz / identity.sampleRateHz;
    const line: SampleLine = {
      kind: 'sample',
      sequence: this.sequence,
      timeTicks: this.timeTicks % 2 ** 32,
      counts: countsFor(this.sequence, identity.sensorTypes.length),
    };
    return encodeLine(line);
  }

  sendSamples(count: number): void {
    let text = '';
    for (let n = 0; n < count; n++) text += this.nextSample();
    this.sendRaw(text);
  }

  /** As after power-up: sequence and clock begin anew and it says who it is. */
  reset(): void {
    this.sequence = 0;
    this.timeTicks = 0;
    this.sendIdentity();
  }

  async #hear(text: string): Promise<void> {
    const lines = (this.#half + text).split('\n');
    this.#half = lines.pop() ?? '';
    if (this.script.mute) return;
    if (this.script.baudRate !== undefined && (await this.#lineSpeed()) !== this.script.baudRate) {
      this.every(10, () => this.sendRaw(noise(400)));
      return;
    }
    if (this.script.baudRate !== undefined) this.quiet();
    for (const line of lines) {
      const decoded = decodeCommand(line);
      if (!decoded.ok) continue;
      this.commands.push(decoded.command);
      if (decoded.command.kind === 'identify') this.sendIdentity();
      if (decoded.command.kind === 'start' && this.script.samples) this.every(20, () => this.sendSamples(4));
    }
  }

  async #lineSpeed(): Promise<number> {
    const { stdout } = await run('stty', ['-F', this.path, 'speed']);
    return Number(stdout);
  }
}

/** What a line at the wrong speed looks like: every byte value, the same each time. */
export function noise(bytes: number): Uint8Array {
  let state = 12_345;
  return Uint8Array.from({ length: bytes }, () => {
    state = (state * 1_103_515_245 + 12_345) % 2 ** 31;
    return state >>> 16;
  });
}

export function freshPtyFolder(): string {
  return mkdtempSync(join(tmpdir(), 'idlewright-pty-'));
}

export function sleep(ms: number): Promise<void> {
  return new Promise((resolve) => setTimeout(resolve, ms));
}

/** Looks again until it holds; fails with what was wanted. */
export async function until(what: string, holds: () => boolean, withinMs = 20_000): Promise<void> {
  const startedMs = performance.now();
  while (!holds()) {
    if (performance.now() - startedMs > withinMs) throw new Error(`not within ${withinMs} ms: ${what}`);
    await sleep(5);
  }
}

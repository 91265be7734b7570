import { type ChildProcess, type SpawnOptions, spawn } from 'node:child_process';
import { fileURLToPath } from 'node:url';

export const NOBODY = 65_534;

/** Node's arguments to run a TypeScript file that lies beside the tests. */
export function nodeArguments(file: string, ...values: string[]): string[] {
  return ['--import', 'tsx', fileURLToPath(new URL(file, import.meta.url)), ...values];
}

/** A child that may not write everywhere: the present user, or nobody where that is root. */
export function spawnUnprivileged(
  command: string,
  values: string[],
  options: SpawnOptions = {},
): ChildProcess {
  const drop = process.getuid?.() === 0 ? { uid: NOBODY, gid: NOBODY } : {};
  return spawn(command, values, { ...options, ...drop });
}

export interface ChildEnd {
  readonly code: number | null;
  readonly signal: NodeJS.Signals | null;
  readonly output: string;
}

/** Waits for the end and gathers what the child said. */
export function childEnd(child: ChildProcess): Promise<ChildEnd> {
  let output = '';
  child.stdout?.on('data', (bytes) => {
    output += bytes;
  });
  child.stderr?.on('data', (bytes) => {
    output += bytes;
  });
  return new Promise((resolve, reject) => {
    child.on('error', reject);
    child.on('close', (code, signal) => resolve({ code, signal, output }));
  });
}

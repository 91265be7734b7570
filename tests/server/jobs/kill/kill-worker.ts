import { spawn } from 'node:child_process';
import { nodeArguments } from '../child-process.ts';

/** What a worker said before it was killed; a last line that was cut is left out. */
export type Said = Record<string, unknown>[];

/**
 * Starts a worker, waits until it is ready and then so long, and kills it without warning.
 * @param delayMs from ready to the kill
 */
export async function killWorker(file: string, values: readonly string[], delayMs: number): Promise<Said> {
  const child = spawn(process.execPath, nodeArguments(`./kill/${file}`, ...values), {
    stdio: ['ignore', 'pipe', 'pipe'],
  });
  let output = '';
  let trouble = '';
  let started = false;
  const ended = new Promise<NodeJS.Signals | null>((resolve, reject) => {
    child.on('error', reject);
    child.on('close', (_code, signal) => resolve(signal));
  });
  child.stderr.on('data', (bytes) => {
    trouble += bytes;
  });
  child.stdout.on('data', (bytes) => {
    output += bytes;
    if (started || !output.includes('"ready"')) return;
    started = true;
    setTimeout(() => child.kill('SIGKILL'), delayMs);
  });
  const signal = await ended;
  if (signal !== 'SIGKILL') throw new Error(`the worker ended by itself: ${trouble}${output}`);
  return output
    .split('\n')
    .slice(0, -1)
    .map((line) => JSON.parse(line) as Record<string, unknown>);
}

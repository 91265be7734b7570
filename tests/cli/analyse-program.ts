import { execFile } from 'node:child_process';
import { existsSync, readdirSync, statSync } from 'node:fs';
import { join, resolve } from 'node:path';

const ROOT = resolve(import.meta.dirname, '../..');
const BUILT = resolve(ROOT, 'dist/server/main.js');
const SOURCES = ['server', 'calibration', 'firmware-protocol'];

export interface Ended {
  readonly status: number;
  readonly stdout: string;
  readonly stderr: string;
}

/** As built, unless a source was changed since: then from its source. */
const program = isBuilt() ? [BUILT] : ['--import', 'tsx', 'server/main.ts'];

/** Runs `idlewright analyse …` in a process of its own. */
export function analyse(...args: string[]): Promise<Ended> {
  return new Promise((done, fail) => {
    const options = { cwd: ROOT, maxBuffer: 64e6 };
    execFile(process.execPath, [...program, 'analyse', ...args], options, (error, stdout, stderr) => {
      const status = error === null ? 0 : error.code;
      if (typeof status === 'number') done({ status, stdout, stderr });
      else fail(error ?? new Error('The program ended without a status'));
    });
  });
}

function isBuilt(): boolean {
  if (!existsSync(BUILT)) return false;
  const builtMs = statSync(BUILT).mtimeMs;
  return SOURCES.every((folder) =>
    readdirSync(join(ROOT, folder), { recursive: true, encoding: 'utf8' })
      .filter((file) => file.endsWith('.ts'))
      .every((file) => statSync(join(ROOT, folder, file)).mtimeMs <= builtMs),
  );
}

import { execFileSync } from 'node:child_process';
import { join, resolve } from 'node:path';
import type { Target } from '../../server/packaging/runtimes.ts';

const ROOT = resolve(import.meta.dirname, '../..');

/** Makes the portable folder of a kind of computer inside `into`. @returns its path */
export function makeFolder(target: Target, into: string): string {
  execFileSync(
    process.execPath,
    [
      join(ROOT, 'node_modules/tsx/dist/cli.mjs'),
      'server/packaging/portable.ts',
      '--target',
      target,
      '--out',
      into,
    ],
    { cwd: ROOT, stdio: 'ignore' },
  );
  return join(into, `idlewright-${target}`);
}

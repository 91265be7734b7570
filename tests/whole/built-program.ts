import { existsSync } from 'node:fs';
import { join, resolve } from 'node:path';

const BUILT = resolve(import.meta.dirname, '../../dist');

/** What `npm run build` made, server and pages. Fails in one sentence where it was not run. */
export function builtProgram(): string {
  const program = join(BUILT, 'server/main.js');
  if (!existsSync(program) || !existsSync(join(BUILT, 'client/index.html'))) {
    throw new Error('The program is not built: run "npm run build" first.');
  }
  return program;
}

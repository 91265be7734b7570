import { execFileSync } from 'node:child_process';
import { chmodSync, chownSync, existsSync, mkdirSync, mkdtempSync, readdirSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, expect, test } from 'vitest';
import { RUNTIMES } from '../../server/packaging/runtimes.ts';
import { binaryKinds } from './binary-kinds.ts';
import { makeFolder } from './portable-folder.ts';
import { startProgram } from './started-program.ts';

/** `nobody` on Debian and most others. */
const NOBODY = 65_534;
const folder = mkdtempSync(join(tmpdir(), 'idlewright port able '));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

test('the folder for Linux runs from a path with spaces, without PATH and as a user without rights', async () => {
  const made = makeFolder(process.arch === 'arm64' ? 'linux-arm64' : 'linux-x64', folder);
  const data = join(folder, 'da ta');
  mkdirSync(data);
  chmodSync(folder, 0o755);
  const asRoot = process.getuid?.() === 0;
  if (asRoot) chownSync(data, NOBODY, NOBODY);
  const launcher = join(made, 'idlewright.sh');
  const options = ['--no-browser', '--port', '0', '--source', 'practice', '--data', join(data, 'record')];
  const program = await startProgram(
    asRoot ? '/usr/bin/setpriv' : launcher,
    asRoot ? [`--reuid=${NOBODY}`, `--regid=${NOBODY}`, '--clear-groups', launcher, ...options] : options,
    { PATH: '' },
  );
  try {
    expect(await (await fetch(program.page)).text()).toContain('<div id="');
    const started = await fetch(`${program.page}/api/health`);
    expect(await started.json()).toMatchObject({ status: 'ok', source: 'practice' });
  } finally {
    expect(await program.stop()).toBe(0);
  }
});

test.each([
  ['linux-x64', 'idlewright.sh', 'ELF x86-64'],
  ['linux-arm64', 'idlewright.sh', 'ELF arm64'],
  ['win-x64', 'idlewright.cmd', 'PE x86-64'],
  ['darwin-arm64', 'idlewright.command', 'Mach-O arm64'],
] as const)(
  'the folder for %s has its launcher, and everything compiled in it is for that system',
  (target, launcher, kind) => {
    const made = makeFolder(target, folder);
    expect(existsSync(join(made, launcher))).toBe(true);
    if (!launcher.endsWith('.cmd')) execFileSync('/bin/sh', ['-n', join(made, launcher)]);
    execFileSync(process.execPath, ['--check', join(made, 'app/dist/server/packaging/launch.js')]);
    const compiled = readdirSync(made, { recursive: true, encoding: 'utf8' })
      .filter((path) => path.endsWith('.node') || path === `runtime/${RUNTIMES[target].program}`)
      .map((path) => [path, binaryKinds(join(made, path))] as const);
    // The program itself, the serial port and the database at the least.
    expect(compiled.length).toBeGreaterThanOrEqual(3);
    for (const [path, kinds] of compiled) expect(kinds, path).toContain(kind);
    rmSync(made, { recursive: true });
  },
);

import { execFileSync } from 'node:child_process';
import { chmodSync, chownSync, existsSync, mkdirSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { afterAll, expect, test } from 'vitest';
import { startProgram } from './started-program.ts';

const ROOT = resolve(import.meta.dirname, '../..');
/** `nobody` on Debian and most others. */
const NOBODY = 65_534;
const folder = mkdtempSync(join(tmpdir(), 'idlewright port able '));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

function makeFolder(target: string): string {
  execFileSync(
    process.execPath,
    [
      join(ROOT, 'node_modules/tsx/dist/cli.mjs'),
      'server/packaging/portable.ts',
      '--target',
      target,
      '--out',
      folder,
    ],
    { cwd: ROOT, stdio: 'ignore' },
  );
  return join(folder, `idlewright-${target}`);
}

test('the folder for Linux runs from a path with spaces, without PATH and as a user without rights', async () => {
  const made = makeFolder(`linux-${process.arch}`);
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
  ['win-x64', 'idlewright.cmd', 'runtime/bin/node.exe', 'win32-x64', 'MZ'],
  ['darwin-arm64', 'idlewright.command', 'runtime/bin/node', 'darwin-arm64', '\u00cf\u00fa\u00ed\u00fe'],
])(
  'the folder for %s has the program, the launcher and the compiled parts of that system',
  async (target, launcher, program, prebuilt, magic) => {
    const made = makeFolder(target);
    expect(existsSync(join(made, launcher))).toBe(true);
    const { openSync, readSync } = await import('node:fs');
    const head = Buffer.alloc(magic.length);
    readSync(openSync(join(made, program), 'r'), head);
    expect(head.toString('latin1')).toBe(magic);
    expect(existsSync(join(made, 'app/node_modules/@photostructure/sqlite/prebuilds', prebuilt))).toBe(true);
    rmSync(made, { recursive: true });
  },
);

import { execFileSync } from 'node:child_process';
import { mkdtempSync, readdirSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { afterAll, expect, test } from 'vitest';
import { startProgram } from './started-program.ts';

const ROOT = resolve(import.meta.dirname, '../..');
const folder = mkdtempSync(join(tmpdir(), 'idlewright installed '));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

test('the packed program installs globally, says its version, measures and shows its page', async () => {
  execFileSync('npm', ['pack', '--ignore-scripts', '--silent', '--pack-destination', folder], { cwd: ROOT });
  const tarball = join(folder, readdirSync(folder).find((name) => name.endsWith('.tgz'))!);
  const prefix = join(folder, 'pre fix');
  execFileSync(
    'npm',
    ['install', '-g', '--prefix', prefix, '--prefer-offline', '--no-audit', '--no-fund', tarball],
    { stdio: 'ignore' },
  );
  const command = join(prefix, 'bin', 'idlewright');
  const { version } = JSON.parse(readFileSync(join(ROOT, 'package.json'), 'utf8')) as { version: string };
  expect(execFileSync(command, ['--version'], { encoding: 'utf8' }).trim()).toBe(version);

  const program = await startProgram(
    command,
    ['--port', '0', '--source', 'practice', '--data', join(folder, 'da ta')],
    process.env,
  );
  try {
    const page = await (await fetch(program.page)).text();
    expect(page).toContain('<div id="');
    const health = (await (await fetch(`${program.page}/api/health`)).json()) as Record<string, unknown>;
    expect(health).toMatchObject({ status: 'ok', softwareVersion: version, source: 'practice' });
  } finally {
    expect(await program.stop()).toBe(0);
  }
});

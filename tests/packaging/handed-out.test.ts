import { execFileSync } from 'node:child_process';
import { chmodSync, mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { afterAll, describe, expect, test } from 'vitest';
import { isNodeVersionGood } from '../../server/node-version.ts';
import { launchersFor } from '../../server/packaging/launchers.ts';
import { RUNTIMES } from '../../server/packaging/runtimes.ts';

const ROOT = resolve(import.meta.dirname, '../..');
const folder = mkdtempSync(join(tmpdir(), 'idlewright out '));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

test('the package holds what was built and the documents, no sources, tests or portable folders', () => {
  const answer = execFileSync('npm', ['pack', '--dry-run', '--json', '--ignore-scripts'], {
    cwd: ROOT,
    encoding: 'utf8',
  });
  // A list, or an object by package name, depending on the version of npm.
  const [packed] = Object.values(JSON.parse(answer) as Record<string, { files: { path: string }[] }>);
  const paths = packed!.files.map(({ path }) => path);
  expect(paths).toContain('dist/server/main.js');
  expect(paths).toContain('dist/client/index.html');
  const strange = paths.filter(
    (path) =>
      !/^dist\/(server|client|calibration|firmware-protocol)\//.test(path) &&
      !/^firmware-protocol\/(PROTOCOL\.md|board\/)/.test(path) &&
      !['package.json', 'README.md', 'DEVELOPERS.md'].includes(path),
  );
  expect(strange).toEqual([]);
});

describe.each(Object.entries(RUNTIMES))('the runtime for %s', (_target, runtime) => {
  test('is one on which the program runs, held to one tarball by its hash', () => {
    expect(isNodeVersionGood(runtime.version)).toBe(true);
    expect(runtime.integrity).toMatch(/^sha512-[A-Za-z0-9+/]{86}==$/);
  });

  test('is what its launcher starts', () => {
    const text = launchersFor(runtime)[0]!.text.replaceAll('\\', '/');
    expect(text).toContain(`runtime/${runtime.program}"`);
    expect(text).toContain('app/dist/server/packaging/launch.js');
  });
});

test('the launcher for Windows quotes every path and ends its lines as Windows wants them', () => {
  const { text } = launchersFor(RUNTIMES['win-x64'])[0]!;
  expect(text.split('\r\n').join('')).not.toMatch(/[\r\n]/);
  // Printable ASCII alone: which code page a console has is not known.
  expect(text).toMatch(/^[\r\n\u0020-\u007e]*$/);
  for (const line of text.split('\r\n'))
    for (const [path] of line.matchAll(/\S*%~dp0\S*/g)) expect(path, line).toMatch(/^"%~dp0[^"]+"$/);
});

describe('the launcher for Linux', () => {
  const home = join(folder, 'Idle wright');
  mkdirSync(join(home, 'runtime/bin'), { recursive: true });
  // Stands in for Node.js: tells with what it was started.
  writeFileSync(join(home, 'runtime/bin/node'), '#!/bin/sh\nfor word in "$@"; do echo "$word"; done\n');
  for (const { name, text } of launchersFor(RUNTIMES['linux-x64'])) writeFileSync(join(home, name), text);
  for (const name of ['idlewright.sh', 'runtime/bin/node']) chmodSync(join(home, name), 0o755);

  test.each([
    ['by its whole path', join(home, 'idlewright.sh'), '/', home],
    ['from inside its folder', './idlewright.sh', home, '.'],
  ])('starts its own Node.js %s with spaces in it, whatever PATH says', (_how, command, cwd, said) => {
    const words = execFileSync(command, ['--data', 'a b'], { cwd, env: { PATH: '' }, encoding: 'utf8' });
    expect(words.split('\n')).toEqual([`${said}/app/dist/server/packaging/launch.js`, '--data', 'a b', '']);
  });

  test('is what the desktop entry starts, after the entry is unescaped as its specification says', () => {
    const entry = readFileSync(join(home, 'idlewright.desktop'), 'utf8');
    const exec = /^Exec=(.*)$/m.exec(entry)![1]!.replaceAll('\\\\', '\\');
    const [, program, flag, script, name] = /^(\S+) (-c) "((?:[^"\\]|\\.)*)" (\S+) %k$/
      .exec(exec)!
      .slice(0)
      .map(String);
    const unquoted = script!.replace(/\\([\\"`$])/g, '$1').replaceAll('%%', '%');
    const words = execFileSync(program!, [flag!, unquoted, name!, join(home, 'idlewright.desktop')], {
      env: { PATH: '' },
      encoding: 'utf8',
    });
    expect(words.split('\n')[0]).toBe(`${home}/app/dist/server/packaging/launch.js`);
  });
});

import { execFileSync } from 'node:child_process';
import { readFileSync } from 'node:fs';
import { resolve } from 'node:path';
import { describe, expect, test } from 'vitest';
import { lockedPackages } from './packages.ts';

const ROOT = resolve(import.meta.dirname, '../..');

/** Licences that let the program be handed on with no more than their text (SPDX identifiers). */
const ALLOWED = new Set([
  'MIT',
  'ISC',
  '0BSD',
  'BSD-2-Clause',
  'BSD-3-Clause',
  'BlueOak-1.0.0',
  'Apache-2.0',
  'Unlicense',
]);

/** Packages whose install script is not run, with the reason why they work without it. */
const WITH_INSTALL_SCRIPT: Readonly<Record<string, string>> = {
  '@photostructure/sqlite': 'would build what the package ships ready for the usual systems',
  '@serialport/bindings-cpp': 'would build what the package ships ready for the usual systems',
  esbuild: 'would only check the program that its own package for the system ships',
};

const packages = lockedPackages();

describe('packages that the program is made of', () => {
  test('there are some, of both kinds', () => {
    expect(packages.filter(({ development }) => !development).length).toBeGreaterThan(50);
    expect(packages.filter(({ development }) => development).length).toBeGreaterThan(50);
  });

  test('those that are shipped state a licence that lets the program be handed on', () => {
    const others = packages.filter(({ development, licence }) => !development && !ALLOWED.has(licence ?? ''));
    expect(others.map(({ name, licence }) => `${name}: ${licence}`)).toEqual([]);
  });

  test('none runs a script as it is installed; those that have one are known, and npm is told not to run it', () => {
    const scripted = new Set(packages.filter(({ installScript }) => installScript).map(({ name }) => name));
    expect([...scripted].sort()).toEqual(Object.keys(WITH_INSTALL_SCRIPT).sort());
    const manifest = JSON.parse(readFileSync(resolve(ROOT, 'package.json'), 'utf8')) as {
      allowScripts: Record<string, boolean>;
    };
    for (const name of scripted) expect(manifest.allowScripts[name], name).toBe(false);
  });

  test('each is pinned by the hash of what is installed', () => {
    expect(
      packages.filter(({ integrity }) => !/^sha512-/.test(integrity ?? '')).map(({ name }) => name),
    ).toEqual([]);
  });

  test('`npm run licences` lists the shipped ones, one a line', () => {
    const listed = execFileSync('npm', ['run', '--silent', 'licences'], { cwd: ROOT, encoding: 'utf8' })
      .trim()
      .split('\n');
    const shipped = packages.filter(({ development }) => !development);
    expect(listed).toHaveLength(shipped.length);
    expect(listed).toContain(`fastify\t${shipped.find(({ name }) => name === 'fastify')?.version}\tMIT`);
  });
});

/**
 * `npm run portable -- --target linux-x64`: a folder with the built program, its packages and a Node.js of its own,
 * which runs where nothing is installed. Needs `npm run build` before, npm and tar, and the npm registry or its cache.
 */
import { execFileSync } from 'node:child_process';
import { createHash } from 'node:crypto';
import {
  chmodSync,
  cpSync,
  existsSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { Command, Option } from 'commander';
import { launchersFor } from './launchers.ts';
import { RUNTIMES, type Runtime, type Target } from './runtimes.ts';

const ROOT = resolve(import.meta.dirname, '../..');
const BUILT = ['dist/server', 'dist/client', 'dist/calibration', 'dist/firmware-protocol'];
const DOCUMENTS = ['README.md', 'DEVELOPERS.md', 'firmware-protocol/PROTOCOL.md'];

const { target, out } = new Command('portable')
  .addOption(
    new Option('--target <computer>', 'kind of computer that the folder is for')
      .choices(Object.keys(RUNTIMES))
      .makeOptionMandatory(),
  )
  .option('--out <folder>', 'where the folder is made', join(ROOT, 'dist', 'portable'))
  .parse()
  .opts<{ target: Target; out: string }>();

const runtime: Runtime = RUNTIMES[target];
const folder = join(resolve(out), `idlewright-${target}`);
rmSync(folder, { recursive: true, force: true });
mkdirSync(join(folder, 'app'), { recursive: true });
takeRuntime();
takeProgram();
for (const { name, text } of launchersFor(runtime)) {
  writeFileSync(join(folder, name), text);
  chmodSync(join(folder, name), 0o755);
}
if (runtime.system === 'linux')
  cpSync(join(ROOT, 'server/packaging/idlewright.service'), join(folder, 'idlewright.service'));
process.stdout.write(`${folder}\n`);

/** @throws where the registry's package is not the one whose hash is written down */
function takeRuntime(): void {
  const work = mkdtempSync(join(tmpdir(), 'idlewright-runtime-'));
  try {
    npm(['pack', `${runtime.packageName}@${runtime.version}`, '--silent', '--pack-destination', work], work);
    const tarball = join(work, readdirSync(work).find((name) => name.endsWith('.tgz')) ?? '');
    const found = `sha512-${createHash('sha512').update(readFileSync(tarball)).digest('base64')}`;
    if (found !== runtime.integrity)
      throw new Error(`${runtime.packageName}@${runtime.version} is not what was expected: ${found}`);
    execFileSync('tar', ['-xzf', tarball, '-C', work]);
    const into = join(folder, 'runtime');
    cpSync(join(work, 'package', runtime.program), join(into, runtime.program), { recursive: true });
    chmodSync(join(into, runtime.program), 0o755);
    const licence = join(work, 'package', 'LICENSE');
    if (existsSync(licence)) cpSync(licence, join(into, 'LICENSE'));
  } finally {
    rmSync(work, { recursive: true, force: true });
  }
}

function takeProgram(): void {
  const app = join(folder, 'app');
  for (const part of BUILT) {
    if (!existsSync(join(ROOT, part))) throw new Error(`${part} is not there: run "npm run build" first`);
    cpSync(join(ROOT, part), join(app, part), { recursive: true });
  }
  for (const file of [...DOCUMENTS, 'package.json', 'package-lock.json']) {
    mkdirSync(join(app, file, '..'), { recursive: true });
    cpSync(join(ROOT, file), join(app, file));
  }
  npm(
    ['ci', '--omit=dev', '--ignore-scripts', '--no-audit', '--no-fund', '--prefer-offline', '--silent'],
    app,
  );
  dropForeignParts(join(app, 'node_modules'));
}

/** Compiled parts for other kinds of computers take most of the room. */
function dropForeignParts(packages: string): void {
  for (const entry of readdirSync(packages, { withFileTypes: true, recursive: true })) {
    if (!entry.isDirectory() || entry.name !== 'prebuilds') continue;
    const prebuilds = join(entry.parentPath, entry.name);
    const kinds = readdirSync(prebuilds);
    if (!kinds.some((kind) => runtime.prebuilds.includes(kind)))
      throw new Error(`${prebuilds} has nothing for ${target}`);
    for (const kind of kinds)
      if (!runtime.prebuilds.includes(kind)) rmSync(join(prebuilds, kind), { recursive: true });
  }
}

function npm(args: readonly string[], cwd: string): void {
  const windows = process.platform === 'win32';
  // npm is a script on Windows, which only a shell starts; nothing in these arguments comes from outside.
  execFileSync(windows ? 'npm.cmd' : 'npm', args, {
    cwd,
    shell: windows,
    stdio: ['ignore', 'ignore', 'inherit'],
  });
}

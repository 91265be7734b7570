import { execFileSync } from 'node:child_process';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { simulate } from '../../server/practice/simulate.ts';
import { codeIn, DOCUMENTS, ROOT, textOf } from './documents.ts';

const TSX = join(ROOT, 'node_modules/tsx/dist/cli.mjs');
const idlewright = (...args: string[]) =>
  execFileSync(process.execPath, [TSX, join(ROOT, 'server/main.ts'), ...args], {
    encoding: 'utf8',
    stdio: ['ignore', 'pipe', 'pipe'],
  });
const optionsIn = (text: string) => [...text.matchAll(/(?<![\w-])--[a-z][a-z-]*/g)].map((match) => match[0]);

const CODE = DOCUMENTS.flatMap((document) => codeIn(textOf(document)));
const SCRIPTS = Object.keys(
  (JSON.parse(textOf('package.json')) as { scripts: Record<string, string> }).scripts,
);
const HELP = idlewright('--help');
const COMMANDS = [...HELP.split('Commands:')[1]!.matchAll(/^ {2}(\w+)/gm)]
  .map((match) => match[1]!)
  .filter((command) => command !== 'help');
const OPTIONS = new Set(
  [HELP, ...COMMANDS.map((command) => idlewright(command, '--help'))].flatMap(optionsIn),
);
/** Of npm, systemd and the system's own programs, and of scripts that are no part of the program. */
const OTHERS = new Set([
  ...['--system', '--home-dir', '--shell', '--now', '--prefix', '--expose-gc'],
  ...['--target', '--out', '--no-browser', '--only', '--scale', '--list', '--one'],
  ...['--config', '--no-git-tag-version'],
]);
/** Said by every program. */
const PLAIN = ['--help', '--version'];

test('every script of package.json that a person runs is told of, and every one told of is there', () => {
  const told = new Set(
    CODE.flatMap((code) => [...code.matchAll(/\bnpm run ([\w:-]+)/g)].map((match) => match[1]!)),
  );
  expect([...told].filter((script) => !SCRIPTS.includes(script))).toEqual([]);
  const silent = SCRIPTS.filter(
    (script) => !/^(pre|build:)|^(start|test)$/.test(script) && !told.has(script),
  );
  expect(silent).toEqual([]);
});

test('every command of the program is told of, and every one told of is there', () => {
  const told = new Set(
    CODE.flatMap((code) =>
      [...code.matchAll(/(?:^|npx )idlewright (?:--\S+ \S+ )?([a-z]+)\b/gm)].map((match) => match[1]!),
    ),
  );
  expect([...told].filter((command) => !COMMANDS.includes(command))).toEqual([]);
  for (const command of COMMANDS) {
    const bare = CODE.some((code) => code === command || code.includes(`idlewright ${command}`));
    expect(bare, command).toBe(true);
  }
});

test('every option of the program is told of, and every one told of is there', () => {
  const told = new Set(CODE.filter((code) => !/^(git|apt|gcc|avr)/.test(code)).flatMap(optionsIn));
  expect([...OPTIONS].filter((option) => !told.has(option) && !PLAIN.includes(option))).toEqual([]);
  expect([...told].filter((option) => !OPTIONS.has(option) && !OTHERS.has(option))).toEqual([]);
});

test('every variable of the environment that is told of is read by the code', () => {
  const told = new Set(CODE.flatMap((code) => code.match(/IDLEWRIGHT_[A-Z_]+/g) ?? []));
  for (const name of told) {
    const found = execFileSync('grep', ['-rlE', `env\\.${name}\\b`, 'server', 'tests'], {
      cwd: ROOT,
      encoding: 'utf8',
    });
    expect(found, name).not.toBe('');
  }
});

test('the examples of analysing a recording run as they stand in README.md', () => {
  const folder = mkdtempSync(join(tmpdir(), 'idlewright-example-'));
  try {
    const run = simulate({ seed: 5 }, 12);
    const rows = [...run.timeS].map(
      (time, at) => `${time.toFixed(5)},${run.kpa.map((column) => column[at]!.toFixed(3)).join(',')}`,
    );
    writeFileSync(join(folder, 'recording.csv'), `time_s,cyl_1,cyl_2\n${rows.join('\n')}\n`);
    const examples = CODE.flatMap((code) => [...code.matchAll(/^npx idlewright (analyse .+)$/gm)]).map(
      (match) => match[1]!,
    );
    expect(examples.length).toBeGreaterThan(1);
    for (const example of examples) {
      const said = execFileSync(
        process.execPath,
        [TSX, join(ROOT, 'server/main.ts'), ...example.split(' ')],
        {
          cwd: folder,
          encoding: 'utf8',
        },
      );
      if (example.includes('--json')) expect(JSON.parse(said)).toBeTypeOf('object');
      else expect(said).toMatch(/kPa/);
    }
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
});

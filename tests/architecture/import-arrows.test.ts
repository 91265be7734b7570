import { readdirSync, readFileSync } from 'node:fs';
import { dirname, join, relative, resolve } from 'node:path';
import { describe, expect, test } from 'vitest';

const ROOT = resolve(import.meta.dirname, '../..');

/**
 * Parts of the program, with what each may import: `main -> http, live, session, jobs, board, practice -> signal ->
 * calibration`; `board, practice -> firmware-protocol`; `client -> contract` only.
 */
const PARTS: Record<string, { folder: string; mayImport: string[] }> = {
  wiring: {
    folder: 'server',
    mayImport: [
      'analysis',
      'http',
      'access',
      'live',
      'session',
      'jobs',
      'board',
      'practice',
      'signal',
      'calibration',
      'firmware-protocol',
      'contract',
      'common',
    ],
  },
  http: {
    folder: 'server/http',
    mayImport: ['live', 'session', 'access', 'jobs', 'signal', 'calibration', 'contract', 'common'],
  },
  access: { folder: 'server/access', mayImport: ['contract', 'common'] },
  live: { folder: 'server/live', mayImport: ['contract', 'common'] },
  session: {
    folder: 'server/session',
    mayImport: ['jobs', 'board', 'signal', 'calibration', 'firmware-protocol', 'contract', 'common'],
  },
  jobs: { folder: 'server/jobs', mayImport: ['signal', 'calibration', 'contract', 'common'] },
  board: { folder: 'server/board', mayImport: ['practice', 'firmware-protocol', 'contract', 'common'] },
  practice: {
    folder: 'server/practice',
    mayImport: ['signal', 'calibration', 'firmware-protocol', 'contract', 'common'],
  },
  analysis: { folder: 'server/analysis', mayImport: ['signal', 'calibration', 'contract', 'common'] },
  signal: { folder: 'server/signal', mayImport: ['calibration'] },
  contract: { folder: 'server/contract', mayImport: [] },
  calibration: { folder: 'calibration', mayImport: [] },
  'firmware-protocol': { folder: 'firmware-protocol', mayImport: [] },
  // Scripts that build the firmware's image.
  'board-build': { folder: 'firmware-protocol/board', mayImport: ['firmware-protocol'] },
  client: { folder: 'client', mayImport: ['contract'] },
};

/** Small things that every part of the server may use; they import nothing but each other. */
const COMMON = ['server/clock.ts', 'server/durable-files.ts', 'server/error-catalogue.ts'];
/** The catalogue's own parts. */
const COMMON_FOLDER = 'server/errors/';

/** No `node:`, no package with input or output, no timer, no clock, no chance. */
const PURE_PARTS = ['practice', 'signal', 'calibration', 'contract', 'firmware-protocol'];
const PURE_FILES = [
  'server/access/device-list.ts',
  'server/access/pairing.ts',
  'server/board/board-link.ts',
  'server/board/source-address.ts',
  'server/board/recording.ts',
  'server/session/board-knowledge.ts',
  'server/session/calibration-desk.ts',
  'server/session/calibration-recording.ts',
  'server/session/calibration-standing.ts',
  'server/session/calibration-view.ts',
  'server/session/setup-change.ts',
  'server/session/update-message.ts',
  'server/session/source-view.ts',
  'server/session/sample-intake.ts',
  'server/session/sample-gap.ts',
  'server/session/key-off.ts',
  'server/session/pulse-trace.ts',
];
/** Packages that compute and do nothing else. */
const PURE_PACKAGES = ['typebox'];

interface SourceFile {
  path: string;
  part: string;
  text: string;
  imports: string[];
}

function partOf(path: string): string {
  if (COMMON.includes(path) || path.startsWith(COMMON_FOLDER)) return 'common';
  const matches = Object.entries(PARTS)
    .filter(([, { folder }]) => path.startsWith(`${folder}/`))
    .sort(([, a], [, b]) => b.folder.length - a.folder.length);
  return matches[0]?.[0] ?? 'outside';
}

function sourcesUnder(folder: string): string[] {
  return readdirSync(join(ROOT, folder), { withFileTypes: true, recursive: true })
    .filter((entry) => entry.isFile() && /\.tsx?$/.test(entry.name) && !entry.name.endsWith('.d.ts'))
    .map((entry) => relative(ROOT, join(entry.parentPath, entry.name)).replaceAll('\\', '/'));
}

const IMPORT =
  /(?:^|\n)\s*(?:import|export)\b[^;'"]*?from\s*['"]([^'"]+)['"]|import\(\s*['"]([^'"]+)['"]\s*\)|(?:^|\n)\s*import\s*['"]([^'"]+)['"]/g;

const FILES: SourceFile[] = ['server', 'client', 'calibration', 'firmware-protocol'].flatMap((folder) =>
  sourcesUnder(folder)
    .filter((path) => path !== 'client/vite.config.ts')
    .map((path) => {
      const text = readFileSync(join(ROOT, path), 'utf8');
      const imports = [...text.matchAll(IMPORT)].map((match) => match[1] ?? match[2] ?? match[3] ?? '');
      return { path, part: partOf(path), text, imports };
    }),
);

/** A relative import as a path from the root of the project. */
function target(file: SourceFile, specifier: string): string {
  return relative(ROOT, resolve(ROOT, dirname(file.path), specifier)).replaceAll('\\', '/');
}

describe('the arrows of the layout', () => {
  test('every file belongs to a part, and the parts are all there', () => {
    expect(FILES.length).toBeGreaterThan(60);
    expect(FILES.filter((file) => file.part === 'outside').map((file) => file.path)).toEqual([]);
    expect(new Set(FILES.map((file) => file.part))).toEqual(new Set([...Object.keys(PARTS), 'common']));
  });

  test('a file imports only what its part may', () => {
    const wrong: string[] = [];
    for (const file of FILES) {
      const mayImport = file.part === 'common' ? ['common'] : (PARTS[file.part]?.mayImport ?? []);
      for (const specifier of file.imports) {
        if (!specifier.startsWith('.')) continue;
        const path = target(file, specifier);
        const part = partOf(path);
        if (part === file.part || mayImport.includes(part)) continue;
        // A style sheet or the like beside the file that uses it.
        if (part === 'outside' && !/\.tsx?$/.test(path)) continue;
        wrong.push(`${file.path} -> ${path}`);
      }
    }
    expect(wrong).toEqual([]);
  });

  test('relative imports name the file with its ending', () => {
    const wrong = FILES.filter(({ part }) => part !== 'client').flatMap((file) =>
      file.imports
        .filter((specifier) => specifier.startsWith('.') && !/\.(ts|json)$/.test(specifier))
        .map((specifier) => `${file.path}: ${specifier}`),
    );
    expect(wrong).toEqual([]);
  });

  test('the pure parts and state machines import no node:, no package with input or output', () => {
    const wrong: string[] = [];
    for (const file of FILES) {
      if (!PURE_PARTS.includes(file.part) && !PURE_FILES.includes(file.path)) continue;
      for (const specifier of file.imports) {
        if (specifier.startsWith('.')) continue;
        const name = specifier.split('/')[0] ?? '';
        if (!PURE_PACKAGES.includes(name)) wrong.push(`${file.path} -> ${specifier}`);
      }
    }
    expect(wrong).toEqual([]);
  });

  test('they use no clock, timer or chance either', () => {
    const impure =
      /\b(setTimeout|setInterval|setImmediate|Date\.now|new Date\(|performance\.now|Math\.random|process\.)/;
    const wrong = FILES.filter(
      (file) =>
        (PURE_PARTS.includes(file.part) || PURE_FILES.includes(file.path)) &&
        impure.test(withoutComments(file.text)),
    ).map((file) => file.path);
    expect(wrong).toEqual([]);
  });

  test('only main.ts and the launcher read environment and arguments', () => {
    const wrong = FILES.filter(
      (file) =>
        !['server/main.ts', 'server/packaging/launch.ts'].includes(file.path) &&
        file.part !== 'board-build' &&
        /\bprocess\.(env|argv)\b/.test(withoutComments(file.text)),
    ).map((file) => file.path);
    expect(wrong).toEqual([]);
  });

  test('the pure files that are named here exist', () => {
    const paths = FILES.map((file) => file.path);
    for (const path of [...PURE_FILES, ...COMMON]) expect(paths).toContain(path);
  });

  test('there is no utils, helpers, manager or index file', () => {
    const wrong = FILES.filter(({ path }) => /(^|\/)(utils?|helpers?|.*-?manager|index)\.tsx?$/.test(path));
    expect(wrong.map(({ path }) => path)).toEqual([]);
  });
});

function withoutComments(text: string): string {
  return text.replace(/\/\*[\s\S]*?\*\//g, '').replace(/(^|[^:])\/\/.*$/gm, '$1');
}

import { existsSync, readFileSync } from 'node:fs';
import { basename } from 'node:path';
import { fileURLToPath } from 'node:url';
import { gzipSync } from 'node:zlib';
import { expect, test } from 'vitest';

const FOLDER = fileURLToPath(new URL('../../../dist/client', import.meta.url));
const LIMIT_BYTES = 150_000;
/** What a page, a style sheet or a module takes in at once; `import("…")` is for later and not among them. */
const TAKEN_IN = [
  /(?:src|href)="[./]*([^"]+\.(?:js|css|svg))"/g,
  /url\(["']?[./]*([^"')]+\.woff2)["']?\)/g,
  /(?:from|import)\s*["']\.\/([^"']+\.js)["']/g,
];

test('the bench, typeface included, weighs less than 150 kB compressed; other screens come when they are opened', () => {
  const sizes = new Map<string, number>();
  const waiting = ['index.html'];
  for (let file = waiting.pop(); file !== undefined; file = waiting.pop()) {
    const path = [`${FOLDER}/${file}`, `${FOLDER}/assets/${basename(file)}`].find(existsSync);
    if (path === undefined) throw new Error(`${file} is not in ${FOLDER}`);
    if (sizes.has(path)) continue;
    const bytes = readFileSync(path);
    sizes.set(path, gzipSync(bytes).length);
    if (/\.(html|css|js)$/.test(file))
      for (const pattern of TAKEN_IN)
        waiting.push(...[...bytes.toString('utf8').matchAll(pattern)].map((match) => match[1]!));
  }
  const total = [...sizes.values()].reduce((sum, bytes) => sum + bytes, 0);
  const list = [...sizes].map(([path, bytes]) => `${basename(path)} ${(bytes / 1000).toFixed(1)}`);
  console.log(`first load: ${(total / 1000).toFixed(1)} kB compressed (${list.join(', ')})`);
  // The page, its style, its script, two faces.
  expect(sizes.size).toBeGreaterThanOrEqual(5);
  expect(total).toBeLessThan(LIMIT_BYTES);
});

import { readdirSync, readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { gzipSync } from 'node:zlib';
import { expect, test } from 'vitest';

const FOLDER = fileURLToPath(new URL('../../../dist/client', import.meta.url));
const LIMIT_BYTES = 150_000;

test('the whole page, typeface included, weighs less than 150 kB compressed', () => {
  const files = readdirSync(FOLDER, { recursive: true, withFileTypes: true }).filter((entry) =>
    entry.isFile(),
  );
  const sizes = files.map(({ parentPath, name }) => ({
    name,
    bytes: gzipSync(readFileSync(`${parentPath}/${name}`)).length,
  }));
  const total = sizes.reduce((sum, { bytes }) => sum + bytes, 0);
  console.log(
    `page: ${(total / 1000).toFixed(1)} kB compressed (${sizes.map(({ name, bytes }) => `${name} ${(bytes / 1000).toFixed(1)}`).join(', ')})`,
  );
  expect(sizes.length).toBeGreaterThan(2);
  expect(total).toBeLessThan(LIMIT_BYTES);
});

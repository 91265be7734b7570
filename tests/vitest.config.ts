import { fileURLToPath } from 'node:url';
import { defineConfig } from 'vitest/config';

export default defineConfig({
  test: {
    root: fileURLToPath(new URL('..', import.meta.url)),
    include: ['tests/**/*.test.ts'],
    // Two cores: more workers only make the browser tests wait for each other.
    maxWorkers: 2,
    // Far above what any test takes alone: a busy computer must not fail one.
    testTimeout: 300_000,
    hookTimeout: 120_000,
    reporters: ['default'],
  },
});

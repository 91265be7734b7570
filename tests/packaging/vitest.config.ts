import { fileURLToPath } from 'node:url';
import { defineConfig } from 'vitest/config';

/** `npm run test:packages`: installs what is handed out. Apart from `npm test`, as it takes a minute and the registry. */
export default defineConfig({
  test: {
    root: fileURLToPath(new URL('../..', import.meta.url)),
    include: ['tests/packaging/**/*.check.ts'],
    fileParallelism: false,
    testTimeout: 600_000,
    hookTimeout: 600_000,
  },
});

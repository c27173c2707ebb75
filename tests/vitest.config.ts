import { fileURLToPath } from 'node:url';
import { defineConfig } from 'vitest/config';

export default defineConfig({
  root: fileURLToPath(new URL('..', import.meta.url)),
  test: {
    include: ['tests/**/*.test.ts'],
    // Generous: on a busy machine of two cores the longest take several times their usual time.
    testTimeout: 60_000,
    // Says at the end which tests this machine could not run.
    globalSetup: ['tests/left-out.ts'],
    // A write to the console in a test is a leak from a shell into a decision: it fails the test.
    setupFiles: ['tests/no-console.ts'],
  },
});

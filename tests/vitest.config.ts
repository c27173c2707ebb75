import { availableParallelism } from 'node:os';
import { fileURLToPath } from 'node:url';
import { defineConfig } from 'vitest/config';

/** Tests that put something else in the place of a module, or that measure what a process holds. */
const ALONE = 'tests/**/*.alone.test.ts';

export default defineConfig({
  root: fileURLToPath(new URL('..', import.meta.url)),
  test: {
    // Generous: on a busy machine of two cores the longest take several times their usual time.
    testTimeout: 180_000,
    hookTimeout: 60_000,
    // One fewer than cores is the usual, and leaves half of a machine of two idle.
    maxWorkers: Math.max(2, availableParallelism() - 1),
    // Says at the end which tests this machine could not run.
    globalSetup: ['tests/left-out.ts'],
    // A write to the console in a test is a leak from a shell into a decision: it fails the test.
    setupFiles: ['tests/no-console.ts'],
    projects: [
      {
        extends: true,
        test: {
          name: 'shared',
          include: ['tests/**/*.test.ts'],
          exclude: [ALONE],
          // Loading the program anew for each file took half of all time: files share what they
          // load, so a test puts back what it changes.
          isolate: false,
        },
      },
      { extends: true, test: { name: 'alone', include: [ALONE] } },
    ],
  },
});

import { fileURLToPath } from 'node:url';
import { defineConfig } from 'vitest/config';
import { ROOMS } from './rooms.ts';

const room = ROOMS[process.env['MUTANTS_ROOM'] ?? 'gate'];

/** The tests of one room alone: no browser, no built program. */
export default defineConfig({
  root: fileURLToPath(new URL('../..', import.meta.url)),
  test: {
    include: room?.tests ?? [],
    exclude: room?.leftOut ?? [],
    // None takes this long on an idle machine: a change that makes one hang is noticed by its time.
    testTimeout: 20_000,
    hookTimeout: 20_000,
    setupFiles: ['tests/no-console.ts'],
    // One thread for all files of a mutant: what they import is read once.
    isolate: false,
  },
});

import { tmpdir } from 'node:os';
import { join } from 'node:path';

const { MUTANTS_ROOM: room, MUTANTS_FILES: files } = process.env;
const folder = join(tmpdir(), 'dewbeat-mutants');

/** One room, as `main.ts` names it; all of it lies outside the tree. */
export default {
  mutate: files.split(' '),
  testRunner: 'vitest',
  vitest: { configFile: 'tests/mutants/vitest.config.ts' },
  coverageAnalysis: 'perTest',
  concurrency: 1,
  // Generous: on a busy machine a slow test is no endless one.
  timeoutMS: 10_000,
  tempDirName: join(folder, 'sandbox'),
  reporters: ['progress-append-only', 'clear-text', 'json'],
  jsonReporter: { fileName: join(folder, `${room}.json`) },
  clearTextReporter: { logTests: false, allowColor: false, allowEmojis: false, reportTests: false },
  // The TypeScript of this project has no interface that Stryker could ask: nothing is rewritten.
  tsconfigFile: 'tests/mutants/none.json',
  ignorePatterns: ['dist', '.ci', 'config-examples'],
  thresholds: { high: 95, low: 90, break: 90 },
};

import { fileURLToPath } from 'node:url';
import { defineConfig } from 'vitest/config';
import { BaseSequencer, type TestSpecification } from 'vitest/node';

/** The files of a run, in the order in which they are to be run. */
const files = (process.env['MUTANTS_TESTS'] ?? '').split(' ').filter((file) => file !== '');

/** Those that look at the changed file first: most changes are noticed by them. */
class AsNamed extends BaseSequencer {
  override async sort(specs: TestSpecification[]): Promise<TestSpecification[]> {
    const place = ({ moduleId }: TestSpecification) =>
      files.findIndex((file) => moduleId.endsWith(`/${file}`));
    return specs.toSorted((a, b) => place(a) - place(b));
  }
}

/** One thread for all files of a change, which ends at the first test that notices it. */
export default defineConfig({
  root: fileURLToPath(new URL('../../..', import.meta.url)),
  test: {
    include: files,
    bail: 1,
    maxWorkers: 1,
    isolate: false,
    fileParallelism: false,
    testTimeout: 60_000,
    hookTimeout: 60_000,
    setupFiles: ['tests/no-console.ts'],
    sequence: { sequencer: AsNamed },
  },
});

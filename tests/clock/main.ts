import { parseArgs } from 'node:util';
import { clockReaders } from './clock-readers.ts';
import { CLOCKS } from './clocks.ts';
import { runSuite } from './run-suite.ts';
import { shiftedEnvironment } from './shifted-environment.ts';

const { values, positionals } = parseArgs({
  allowPositionals: true,
  options: {
    only: { type: 'string', multiple: true },
    share: { type: 'boolean', default: false },
  },
});

const unknown = (values.only ?? []).filter((name) => !CLOCKS.some((clock) => clock.name === name));
if (unknown.length > 0) {
  const names = CLOCKS.map(({ name }) => name).join(', ');
  process.stderr.write(`--only: no such clock (got ${unknown.join(', ')}); there are ${names}\n`);
  process.exitCode = 2;
} else {
  await underEachClock();
}

/** Runs the tests under one clock after another; the exit code is 1 once one of them has failed. */
async function underEachClock(): Promise<void> {
  const clocks = CLOCKS.filter(({ name, inShare }) =>
    values.only === undefined ? !values.share || inShare : values.only.includes(name),
  );
  const files = positionals.length > 0 || !values.share ? positionals : clockReaders();
  for (const clock of clocks) {
    const beganMs = performance.now();
    let result: Awaited<ReturnType<typeof runSuite>>;
    try {
      result = await runSuite(shiftedEnvironment(clock), files);
    } catch (error) {
      process.stderr.write(`${error instanceof Error ? error.message : String(error)}\n`);
      process.exitCode = 1;
      return;
    }
    const { passed, failures, skipped } = result;
    const tookS = Math.round((performance.now() - beganMs) / 1000);
    const left = skipped > 0 ? `, ${skipped} left out` : '';
    process.stdout.write(
      `${clock.name} (${clock.startsAt}, ${clock.machineZone}): ${passed} passed, ${failures.length} failed${left}, ${tookS} s\n`,
    );
    for (const failure of failures) process.stdout.write(`  ${failure}\n`);
    if (failures.length > 0) process.exitCode = 1;
  }
}

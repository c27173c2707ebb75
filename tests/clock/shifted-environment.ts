import { execFileSync } from 'node:child_process';
import { existsSync } from 'node:fs';
import type { ShiftedClock } from './clocks.ts';

/** Where systems put the library that answers a process's questions for the time. */
const LIBRARIES = ['x86_64-linux-gnu/', 'aarch64-linux-gnu/', ''].map(
  (folder) => `/usr/lib/${folder}faketime/libfaketimeMT.so.1`,
);

/** How far a process may be off the asked time: it takes a moment to start. */
const TOLERANCE_MS = 10_000;

/**
 * The environment in which a process, and every one that it starts, sees a clock that starts now at
 * the asked instant and runs on. A constant offset rather than a start: parent and child agree.
 *
 * Timers follow the monotonic clock, which stays as it is; so do the stamps of files.
 *
 * @throws Error when the library is missing or has no effect
 */
export function shiftedEnvironment({ startsAt, machineZone }: ShiftedClock): NodeJS.ProcessEnv {
  const library = LIBRARIES.find((path) => existsSync(path));
  if (library === undefined) {
    throw new Error(
      `libfaketime: is not installed (got none of ${LIBRARIES.join(', ')}); install it, on Debian with "apt-get install faketime"`,
    );
  }
  const offsetS = Math.round((Date.parse(startsAt) - Date.now()) / 1000);
  const env = {
    ...process.env,
    TZ: machineZone,
    LD_PRELOAD: library,
    FAKETIME: `${offsetS < 0 ? '' : '+'}${offsetS}`,
    FAKETIME_DONT_FAKE_MONOTONIC: '1',
  };
  const ask = 'process.stdout.write(String(Date.now()))';
  const toldMs = Number(execFileSync(process.execPath, ['-e', ask], { env, encoding: 'utf8' }));
  if (!(Math.abs(toldMs - Date.parse(startsAt)) < TOLERANCE_MS)) {
    throw new Error(
      `libfaketime: does not shift the clock (got ${new Date(toldMs).toISOString()} for ${startsAt}); run it where LD_PRELOAD has its effect`,
    );
  }
  return env;
}

import { chmodSync, existsSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { scratchFolder } from '../../scratch-site.ts';

/** A stand-in for systemd's program that writes down its calls, and an environment that has it. */
export function fakeNotify(): { env: NodeJS.ProcessEnv; calls(): string[] } {
  const folder = scratchFolder();
  const calls = join(folder, 'calls');
  const program = join(folder, 'systemd-notify');
  writeFileSync(program, `#!/bin/sh\nprintf '%s\\n' "$*" >> '${calls}'\n`);
  chmodSync(program, 0o755);
  const { PATH } = process.env;
  return {
    env: { PATH: `${folder}:${PATH ?? ''}`, NOTIFY_SOCKET: '/run/invented' },
    calls: () => (existsSync(calls) ? readFileSync(calls, 'utf8').trim().split('\n') : []),
  };
}

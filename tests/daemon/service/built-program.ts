import { spawn } from 'node:child_process';
import { fileURLToPath } from 'node:url';
import { expect, onTestFinished } from 'vitest';

const MAIN = fileURLToPath(new URL('../../../dist/daemon/main.js', import.meta.url));

/** The built program, running as a service would run it: no terminal, JSON lines. */
export interface Started {
  pid: number;
  said(): string;
  /** Settles when the words have been said; fails after 20 seconds. */
  saying(words: string | RegExp): Promise<void>;
  signal(name: NodeJS.Signals): void;
  ended(): Promise<number | null>;
}

/** Starts the built program; it is ended with the test. */
export function startBuilt(
  args: readonly string[],
  { cwd, env = {} }: { cwd: string; env?: NodeJS.ProcessEnv },
): Started {
  const child = spawn(process.execPath, [MAIN, ...args], {
    cwd,
    env: { ...process.env, ...env },
    stdio: ['ignore', 'pipe', 'pipe'],
  });
  const ended = new Promise<number | null>((resolve) => {
    child.once('exit', (code) => resolve(code));
  });
  let text = '';
  for (const stream of [child.stdout, child.stderr]) {
    stream?.on('data', (chunk: Buffer) => {
      text += chunk.toString();
    });
  }
  onTestFinished(() => {
    if (child.exitCode === null) child.kill('SIGKILL');
  });
  return {
    pid: child.pid ?? 0,
    said: () => text,
    async saying(words) {
      const said = () => (typeof words === 'string' ? text.includes(words) : words.test(text));
      for (let waitedMs = 0; waitedMs < 20_000 && !said(); waitedMs += 25) {
        await new Promise((resolve) => setTimeout(resolve, 25));
      }
      expect(text).toMatch(words);
    },
    signal: (name) => void child.kill(name),
    ended: () => ended,
  };
}

import { type ChildProcess, spawn } from 'node:child_process';
import { existsSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { describe, expect, it, onTestFinished } from 'vitest';
import { fetchAlone } from '../own-connection.ts';
import { scratchFolder } from '../scratch-site.ts';

const MAIN = fileURLToPath(new URL('../../dist/daemon/main.js', import.meta.url));

interface Started {
  process: ChildProcess;
  said(): string;
  /** Settles when the words have been said; fails after half a minute. */
  saying(words: string | RegExp): Promise<void>;
  ended(): Promise<number | null>;
}

/** Starts the built program as `npm start` does; it is ended with the test. */
function start(args: string[], cwd: string): Started {
  const child = spawn(process.execPath, [MAIN, ...args], {
    cwd,
    stdio: ['ignore', 'pipe', 'pipe'],
  });
  const ended = new Promise<number | null>((resolve) => {
    child.once('exit', (code) => resolve(code));
  });
  let text = '';
  child.stdout?.on('data', (chunk: Buffer) => {
    text += chunk.toString();
  });
  child.stderr?.on('data', (chunk: Buffer) => {
    text += chunk.toString();
  });
  onTestFinished(() => {
    if (child.exitCode === null) child.kill('SIGKILL');
  });
  return {
    process: child,
    said: () => text,
    async saying(words) {
      const said = () => (typeof words === 'string' ? text.includes(words) : words.test(text));
      for (let waitedMs = 0; waitedMs < 30_000 && !said(); waitedMs += 50) {
        await new Promise((resolve) => setTimeout(resolve, 50));
      }
      expect(text).toMatch(words);
    },
    ended: () => ended,
  };
}

describe('the first start, in the built program', () => {
  it('prints the plan, where it is held, the next command and the address, and stops cleanly', async () => {
    const cwd = scratchFolder();
    const daemon = start(['run'], cwd);
    await daemon.saying('The daemon stays up');
    const said = daemon.said();
    expect(said).toContain('HELD: nothing of this plan is sent');
    expect(said).toContain(`The plan is held in ${join(cwd, 'dewbeat-data')}`);
    const confirm = /npx dewbeat (confirm .+)$/m.exec(said)?.[1] ?? '';
    const args = [...confirm.matchAll(/"([^"]*)"|(\S+)/g)].map(
      (match) => match[1] ?? match[2] ?? '',
    );
    const address = /The page: (http:\S+)/.exec(said)?.[1];
    if (address !== undefined) {
      const page = await fetchAlone(address);
      expect(page.status).toBe(200);
      expect(await page.text()).toContain('<title>dewbeat');
      const plan = await fetchAlone(`${address}/plan.json`);
      expect(await plan.json()).toMatchObject({ standing: 'held' });
    }

    const person = start(args, cwd);
    expect(await person.ended()).toBe(0);
    expect(person.said()).toContain('file: accepted');
    expect(existsSync(join(cwd, 'dewbeat-data', 'out', 'plan.json'))).toBe(true);

    const second = start(['run'], cwd);
    expect(await second.ended()).toBe(1);
    expect(second.said()).toContain('another dewbeat runs on this data folder');

    daemon.process.kill('SIGTERM');
    expect(await daemon.ended()).toBe(0);
  });

  it('keeps what stands over a restart: nothing is sent twice, no second morning plan', async () => {
    const cwd = scratchFolder();
    const first = start(['run'], cwd);
    await first.saying('The daemon stays up');
    first.process.kill('SIGKILL');
    await first.ended();
    const again = start(['run'], cwd);
    await again.saying('The daemon stays up');
    expect(again.said()).toContain('revision 1');
    expect(again.said()).not.toContain('morning plan made');
    again.process.kill('SIGTERM');
    await again.ended();
  });
});

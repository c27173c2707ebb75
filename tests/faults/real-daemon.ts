import { type ChildProcess, spawn } from 'node:child_process';
import { fileURLToPath } from 'node:url';
import { ACTION_HEADER } from '../../daemon/faces/web/safety/request-origin.ts';
import { fetchAlone } from '../own-connection.ts';

export const PROGRAM = fileURLToPath(new URL('../../dist/daemon/main.js', import.meta.url));

/** Starts the built daemon on the config in a folder; it says nothing. */
export function startProgram(folder: string, nodeArgs: readonly string[] = []): ChildProcess {
  const args = [...nodeArgs, PROGRAM, 'run', '--log-level', 'silent'];
  const child = spawn(process.execPath, args, {
    cwd: folder,
    stdio: 'ignore',
  });
  // A run that fails before its clean-up must not leave a daemon behind.
  const endWithRun = () => void child.kill('SIGKILL');
  process.once('exit', endWithRun);
  child.once('exit', () => process.off('exit', endWithRun));
  return child;
}

/** Ends a daemon and waits until it is gone; one that does not go in time is killed. */
export async function end(child: ChildProcess, how: 'SIGTERM' | 'SIGKILL'): Promise<void> {
  if (child.exitCode !== null || child.signalCode !== null) return;
  const gone = new Promise<void>((resolve) => child.once('exit', () => resolve()));
  child.kill(how);
  const late = setTimeout(() => child.kill('SIGKILL'), 15_000);
  await gone;
  clearTimeout(late);
}

/** Runs one command of the built program to its end. */
export function command(
  folder: string,
  args: readonly string[],
): Promise<{ code: number | null; said: string }> {
  return new Promise((resolve) => {
    const child = spawn(process.execPath, [PROGRAM, ...args], { cwd: folder, timeout: 40_000 });
    let said = '';
    for (const stream of [child.stdout, child.stderr]) {
      stream.on('data', (chunk: Buffer) => {
        said += chunk.toString();
      });
    }
    child.once('close', (code) => resolve({ code, said }));
  });
}

/** Asks the page; an action when there is a body. Status 0: nobody answered. */
export async function ask(
  port: number,
  path: string,
  body?: object,
): Promise<{ status: number; text: string }> {
  const url = `http://127.0.0.1:${port}`;
  const action = body && {
    method: 'POST',
    headers: { 'content-type': 'application/json', origin: url, [ACTION_HEADER]: '1' },
    body: JSON.stringify(body),
  };
  try {
    const reply = await fetchAlone(`${url}${path}`, {
      ...action,
      signal: AbortSignal.timeout(20_000),
    });
    return { status: reply.status, text: await reply.text() };
  } catch {
    return { status: 0, text: '' };
  }
}

/** Looks again and again until it is so; false when the time is over. */
export async function until(
  isSo: () => boolean | Promise<boolean>,
  patienceMs: number,
): Promise<boolean> {
  for (const endMs = Date.now() + patienceMs; Date.now() < endMs; await pause(100)) {
    if (await isSo()) return true;
  }
  return isSo();
}

export function pause(ms: number): Promise<void> {
  return new Promise((resolve) => setTimeout(resolve, ms));
}

import { type ChildProcess, spawn, spawnSync } from 'node:child_process';
import { mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { LoadedConfig } from '../../../daemon/site/config/config.ts';
import { ALL_CAUTIONS } from '../../../daemon/site/gate/valid-confirm.ts';
import { earlySite } from '../early-site.ts';
import { ask, command, end, PROGRAM, pause, until } from '../real-daemon.ts';

/** A receiver gives up its runs, and a person is told, within this. */
export const STOPPED_MS = 2_000;
export const TOLD_MS = 5_000;

/** What came of one stop, seen from outside. */
export interface Measured {
  by: 'page' | 'command';
  /** Until every watched receiver had no runs; null: never within the patience. */
  stoppedMs: number | null;
  toldMs: number;
  /** What the person was told, and whether it was told as well done. */
  said: string;
  isToldWell: boolean;
}

/** A receiver as it is seen from outside: runs that it would begin; null: it has no order. */
export interface Watched {
  name: string;
  runs(): Promise<number | null> | number | null;
}

/** A real daemon with its receivers, attacked. */
export interface StopRig {
  folder: string;
  config: LoadedConfig;
  port: number;
  daemon(): ChildProcess;
  start(how?: {
    env?: NodeJS.ProcessEnv;
    descriptors?: number;
    nodeArgs?: string[];
  }): Promise<void>;
  /** Makes a plan that lifts every hold, confirms it, and waits until it stands in the folder. */
  confirmFresh(): Promise<void>;
  stopAtPage(watched?: readonly Watched[]): Promise<Measured>;
  stopByCommand(
    args?: readonly string[],
    given?: { watched?: readonly Watched[]; cwd?: string },
  ): Promise<Measured>;
  status(): Promise<string>;
  end(): Promise<void>;
}

/** Seen through a folder that a file output writes to. */
export function folderWatched(name: string, folder: string): Watched {
  return {
    name,
    runs() {
      try {
        const order = JSON.parse(readFileSync(join(folder, 'plan.json'), 'utf8')) as {
          runs: unknown[];
        };
        return order.runs.length;
      } catch {
        return null;
      }
    },
  };
}

export async function stopRig(
  given: { outputs?: readonly string[]; dataFolder?: string; extra?: string; beds?: number } = {},
): Promise<StopRig> {
  const folder = mkdtempSync(join(tmpdir(), 'dewbeat-stop-'));
  const { outputs = ['{ output: file, folder: out }'], dataFolder, extra, beds = 2 } = given;
  const asked = { outputs, beds, ...(dataFolder === undefined ? {} : { dataFolder }) };
  if (dataFolder !== undefined) mkdirSync(join(folder, dataFolder), { recursive: true });
  const config = await earlySite(folder, asked);
  if (extra !== undefined) {
    const file = join(folder, 'dewbeat.yaml');
    writeFileSync(file, `${readFileSync(file, 'utf8')}${extra}\n`);
  }
  const { port } = config.page;
  let child: ChildProcess | null = null;
  const out = folderWatched('file', join(folder, 'out'));

  async function measure(
    by: Measured['by'],
    stop: () => Promise<{ said: string; isToldWell: boolean }>,
    watched: readonly Watched[],
  ): Promise<Measured> {
    const startMs = performance.now();
    let toldMs = Number.POSITIVE_INFINITY;
    const told = stop().then((answer) => {
      toldMs = performance.now() - startMs;
      return answer;
    });
    let stoppedMs: number | null = null;
    const watching = (async () => {
      while (performance.now() - startMs < 10_000) {
        const runs = await Promise.all(watched.map((one) => one.runs()));
        if (runs.every((count) => (count ?? 0) === 0)) {
          stoppedMs = performance.now() - startMs;
          return;
        }
        await pause(15);
      }
    })();
    const [answer] = await Promise.all([told, watching]);
    return { by, stoppedMs, toldMs, ...answer };
  }

  return {
    folder,
    config,
    port,
    daemon() {
      if (child === null) throw new Error('the daemon is not started');
      return child;
    },
    async start({ env = {}, descriptors, nodeArgs = [] } = {}) {
      const args = [...nodeArgs, PROGRAM, 'run', '--log-level', 'info'];
      const [program, all] =
        descriptors === undefined
          ? [process.execPath, args]
          : ['prlimit', [`--nofile=${descriptors}:${descriptors}`, process.execPath, ...args]];
      const made = spawn(program, all, {
        cwd: folder,
        stdio: 'ignore',
        env: { ...process.env, ...env },
      });
      const endWithRun = () => void made.kill('SIGKILL');
      process.once('exit', endWithRun);
      made.once('exit', () => process.off('exit', endWithRun));
      child = made;
      if (!(await until(async () => (await ask(port, '/ready')).status === 200, 40_000))) {
        throw new Error('the daemon did not get ready');
      }
      // Its morning plan would else come between a person's plan and their confirm.
      if (!(await until(async () => (await ask(port, '/plan.json')).status !== 404, 40_000))) {
        throw new Error('the daemon made no morning plan');
      }
    },
    async confirmFresh() {
      // The daemon may make a plan of its own between a person's plan and their confirm.
      let said = { code: null as number | null, said: '' };
      for (let tries = 0; tries < 3 && said.code !== 0; tries++) {
        const made = await command(folder, ['plan', '--lift', '--who', 'Person 2 (invented)']);
        if (made.code !== 0) throw new Error(`no fresh plan could be made: ${made.said}`);
        const [, revision, digest] =
          /--revision (\d+) --digest ([0-9a-f]{8})/.exec(made.said) ?? [];
        const cautions = ALL_CAUTIONS.map(({ code }) => code);
        said = await command(folder, [
          'confirm',
          ...['--revision', revision ?? '', '--digest', digest ?? ''],
          ...['--who', 'Person 2 (invented)', '--caution', ...cautions],
        ]);
        if (!said.said.includes('is not the newest')) break;
      }
      if (said.code !== 0) throw new Error(`a fresh plan was not confirmed: ${said.said}`);
      if (!(await until(async () => ((await out.runs()) ?? 0) > 0, 10_000))) {
        throw new Error('a confirmed plan did not get to the folder');
      }
    },
    stopAtPage: (watched = [out]) =>
      measure(
        'page',
        async () => {
          const body = { beds: 'all', who: 'Person 1 (invented)', why: 'tried' };
          const { status, text } = await ask(port, '/api/hold', body);
          return { said: `${status} ${text}`, isToldWell: status === 200 };
        },
        watched,
      ),
    stopByCommand: (args = [], { watched = [out], cwd = folder } = {}) =>
      measure(
        'command',
        async () => {
          const { code, said } = await command(cwd, [
            'hold',
            '--who',
            'Person 1 (invented)',
            ...args,
          ]);
          return { said: `exit ${code} ${said}`, isToldWell: code === 0 };
        },
        watched,
      ),
    status: async () => (await command(folder, ['status'])).said,
    async end() {
      if (child !== null) {
        child.kill('SIGCONT');
        await end(child, 'SIGTERM');
      }
      rmSync(folder, { recursive: true, force: true });
    },
  };
}

/** Has the site read its weather from a station's file, with the usual months behind it. */
export function useStationFile(folder: string, rows: string): void {
  const file = join(folder, 'dewbeat.yaml');
  const text = readFileSync(file, 'utf8');
  const usual = /usual: (\[.*\])/.exec(text)?.[1] ?? '[]';
  const weather = `weather:
  - { source: csv, file: station.csv, stamps: hour_ending, wind_height: 2 m, time: { form: iso, column: at }, columns: { air_temp: { column: t, unit: °C } } }
  - { source: outlook, wind_height: 10 m, usual: ${usual} }`;
  writeFileSync(file, text.replace(/^weather: .*$/m, weather));
  writeFileSync(join(folder, 'station.csv'), rows);
}

/** A small disk of its own that can be frozen, as one that hangs is. */
export interface SmallDisk {
  folder: string;
  freeze(): void;
  thaw(): void;
  remove(): void;
}

/** Why no disk can be frozen here, or null. */
export function whyNoFrozenDisk(): string | null {
  if (process.getuid?.() !== 0) return 'not root';
  const base = mkdtempSync(join(tmpdir(), 'dewbeat-freeze-'));
  try {
    smallDisk(base).remove();
    return null;
  } catch (error) {
    return error instanceof Error ? error.message : String(error);
  } finally {
    rmSync(base, { recursive: true, force: true });
  }
}

export function smallDisk(base: string): SmallDisk {
  const image = join(base, 'disk.img');
  const folder = join(base, 'disk');
  mkdirSync(folder, { recursive: true });
  run('truncate', ['-s', '48M', image]);
  run('mkfs.ext4', ['-q', '-F', image]);
  run('mount', ['-o', 'loop', image, folder]);
  let isFrozen = false;
  const thaw = () => {
    if (isFrozen) run('fsfreeze', ['-u', folder]);
    isFrozen = false;
  };
  return {
    folder,
    freeze() {
      run('fsfreeze', ['-f', folder]);
      isFrozen = true;
    },
    thaw,
    remove() {
      thaw();
      spawnSync('umount', ['-l', folder]);
      rmSync(image, { force: true });
    },
  };
}

function run(program: string, args: readonly string[]): void {
  const { status, stderr, error } = spawnSync(program, args, { encoding: 'utf8' });
  if (status !== 0) throw new Error(`${program}: ${error?.message ?? stderr.trim()}`);
}

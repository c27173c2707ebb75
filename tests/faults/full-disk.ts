import { spawnSync } from 'node:child_process';
import { closeSync, mkdirSync, mkdtempSync, openSync, rmSync, writeSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { openDatabase } from '../../daemon/site/store/database.ts';
import { openHolds } from '../../daemon/site/store/holds-and-keep-offs.ts';
import { earlySite } from './early-site.ts';
import { folderSite } from './folder-site.ts';
import { ask, command, end, startProgram, until } from './real-daemon.ts';
import { logKeeper } from './simulation/log-keeper.ts';

/** A probe each 30 s on a beat each 10 s, and a loaded machine. */
const NOTICED_MS = 60_000;

/** Why no small disk can be had here, or null. */
export function whyNoSmallDisk(): string | null {
  if (process.getuid?.() !== 0) return 'not root';
  const folder = mkdtempSync(join(tmpdir(), 'dewbeat-mount-'));
  const why = mount(['-t', 'tmpfs', '-o', 'size=64k', 'tmpfs', folder]);
  if (why === null) unmount(folder);
  rmSync(folder, { recursive: true, force: true });
  return why;
}

/**
 * A disk with the data folder and the output that fills while a plan is in force, twice: a hold
 * from the page and one from the command line still reach the folder, and room mends the rest. At
 * the end the data folder is read-only at a start.
 */
export async function fullDisk(broken: (what: string) => void): Promise<string[]> {
  const folder = mkdtempSync(join(tmpdir(), 'dewbeat-disk-'));
  const disk = join(folder, 'disk');
  const ballast = join(disk, 'ballast');
  const dataFolder = join(disk, 'data');
  mkdirSync(disk);
  const why = mount(['-t', 'tmpfs', '-o', 'size=4m', 'tmpfs', disk]);
  if (why !== null) throw new Error(`mount: ${why}`);
  let daemon = null as ReturnType<typeof startProgram> | null;
  let db = null as ReturnType<typeof openDatabase> | null;
  try {
    mkdirSync(dataFolder);
    const output = '{ output: file, folder: disk/out }';
    const config = await earlySite(folder, { outputs: [output], dataFolder: 'disk/data' });
    const { port } = config.page;
    const site = folderSite({ folder, config, outFolder: join(disk, 'out'), broken });
    daemon = startProgram(folder);
    if (!(await site.ready())) broken('disk: the daemon did not get ready');
    await site.confirmFresh();
    await command(folder, ['plan', '--who', 'Person 1 (invented)']);
    db = openDatabase(config.dataFolder);
    const keeper = logKeeper(db);
    keeper.look();

    let fullMs = Date.now();
    fill(ballast);
    const before = site.order()?.digest;
    const waiting = await site.newest();
    const refusal = waiting === null ? 0 : await site.confirm(waiting);
    if (refusal === 200) broken('disk: a confirm was taken on a full disk');
    for (const path of ['/', '/api/today', '/health']) {
      const { status } = await ask(port, path);
      if (status !== 200) broken(`disk: ${path} answered ${status} on a full disk`);
    }
    if (site.order()?.digest !== before) broken('disk: what stands changed on a full disk');
    let said = '';
    const isNoticed = await until(async () => {
      const { status, text } = await ask(port, '/ready');
      said = text;
      return status === 503 && text.includes('database_fault');
    }, NOTICED_MS);
    if (!isNoticed) broken(`disk: /ready did not name the full disk (said ${said})`);
    const noticedS = Math.round((Date.now() - fullMs) / 1000);
    site.watch();
    const asked = { beds: 'all', who: 'Person 1 (invented)', why: 'tried' };
    const held = await ask(port, '/api/hold', asked);
    // The old files that it gives up are room: the store may have taken it by then.
    const isTold =
      held.status === 200
        ? openHolds(db).length === 1
        : held.status === 503 && held.text.includes('the water is stopped');
    if (!isTold) {
      broken(`disk: the hold at the page was answered with ${held.status} ${held.text}`);
    }
    if (site.order()?.withdrawn == null || site.order()?.runs.length !== 0) {
      broken('disk: the hold at the page left no empty plan in the folder');
    }
    rmSync(ballast);
    const freeMs = Date.now();
    const store = db;
    const isWritten = await until(() => openHolds(store).length > 0, NOTICED_MS);
    if (!isWritten) broken('disk: the hold was not written once there was room');
    const writtenS = Math.round((Date.now() - freeMs) / 1000);
    if (!(await site.ready(NOTICED_MS))) broken('disk: not ready again once there was room');
    const readyS = Math.round((Date.now() - freeMs) / 1000);
    await site.confirmFresh();

    keeper.look();
    fullMs = Date.now();
    fill(ballast);
    const line = await command(folder, ['hold', '--who', 'Person 1 (invented)', '--why', 'tried']);
    const holdS = ((Date.now() - fullMs) / 1000).toFixed(1);
    // As at the page: what the stop gives up in the folder may be room enough for the store.
    const isLineTold =
      line.code === 0
        ? openHolds(db).length === 1
        : line.code === 1 && line.said.includes('NOT WRITTEN');
    if (!isLineTold) {
      broken(`disk: dewbeat hold ended with ${line.code} and said ${line.said}`);
    }
    if (site.order()?.withdrawn == null || site.order()?.runs.length !== 0) {
      broken('disk: dewbeat hold left no empty plan in the folder');
    }
    rmSync(ballast);
    const again = await command(folder, ['hold', '--who', 'Person 1 (invented)', '--why', 'again']);
    if (again.code !== 0) broken(`disk: no hold once there was room: ${again.said}`);
    await site.confirmFresh();
    keeper.look();

    await end(daemon, 'SIGTERM');
    const lost = keeper.judge();
    for (const row of lost) broken(`disk: ${row}`);
    db.close();
    db = null;
    const readOnly = await readOnlyStart();
    daemon = startProgram(folder);
    if (!(await site.ready())) broken('read-only: not ready once the folder can be written');
    db = openDatabase(config.dataFolder);
    await site.confirmFresh();
    return [
      `full disk: named by /ready after ${noticedS} s; hold at the page in the folder, written ${writtenS} s after there was room, ready after ${readyS} s`,
      `full disk: dewbeat hold in the folder in ${holdS} s; ${keeper.rows()} rows kept, ${lost.length} lost`,
      readOnly,
    ];

    async function readOnlyStart(): Promise<string> {
      const fault =
        mount(['--bind', dataFolder, dataFolder]) ?? mount(['-o', 'remount,ro,bind', dataFolder]);
      try {
        if (fault !== null) return `read-only data folder: left out (${fault})`;
        const start = await command(folder, ['run', '--log-level', 'silent']);
        if (start.code !== 1 || !/cannot be written|readonly|read-only/.test(start.said)) {
          broken(`read-only: the daemon ended with ${start.code} and said ${start.said}`);
        }
        const stop = await command(folder, ['hold', '--who', 'Person 1 (invented)']);
        if (stop.code !== 1 || site.order()?.withdrawn == null) {
          broken(`read-only: dewbeat hold did not reach the folder: ${stop.said}`);
        }
        return 'read-only data folder: refused at the start with its reason; dewbeat hold in the folder all the same';
      } finally {
        unmount(dataFolder);
      }
    }
  } finally {
    db?.close();
    if (daemon) await end(daemon, 'SIGKILL');
    unmount(disk);
    rmSync(folder, { recursive: true, force: true });
  }
}

/** Writes until the disk takes nothing more, in ever smaller pieces. */
function fill(file: string): void {
  const handle = openSync(file, 'w');
  for (const bytes of [65_536, 4_096, 1]) {
    try {
      for (;;) writeSync(handle, Buffer.alloc(bytes));
    } catch (error) {
      if ((error as NodeJS.ErrnoException).code !== 'ENOSPC') throw error;
    }
  }
  closeSync(handle);
}

function mount(args: readonly string[]): string | null {
  const { status, stderr, error } = spawnSync('mount', args, { encoding: 'utf8' });
  return status === 0 ? null : (error?.message ?? stderr.trim());
}

/** Lazily, so that a process on its way out cannot keep the disk. */
function unmount(folder: string): void {
  spawnSync('umount', ['-l', folder]);
}

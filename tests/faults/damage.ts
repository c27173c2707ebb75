import {
  closeSync,
  mkdtempSync,
  openSync,
  readdirSync,
  readFileSync,
  rmSync,
  statSync,
  truncateSync,
  writeSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import Database from 'libsql';
import { DATABASE_FILE } from '../../daemon/site/store/database.ts';
import { earlySite } from './early-site.ts';
import { type FolderSite, folderSite } from './folder-site.ts';
import { command, end, startProgram, until } from './real-daemon.ts';

const PAGE_BYTES = 4096;

/** A memory with bytes overwritten, or cut off: it is refused, kept, and a backup brings all back. */
export async function damage(broken: (what: string) => void): Promise<string> {
  const folder = mkdtempSync(join(tmpdir(), 'dewbeat-damage-'));
  const tried: string[] = [];
  let daemon = null as ReturnType<typeof startProgram> | null;
  try {
    const output = '{ output: file, folder: out }';
    const config = await earlySite(folder, { outputs: [output], dataFolder: 'data' });
    const site = folderSite({ folder, config, outFolder: join(folder, 'out'), broken });
    const file = join(config.dataFolder, DATABASE_FILE);
    daemon = startProgram(folder);
    if (!(await site.ready())) broken('damage: the daemon did not get ready');
    await site.confirmFresh();
    const backup = join(folder, 'backup.sqlite');
    const written = await command(folder, ['backup', '--to', backup]);
    if (written.code !== 0) broken(`damage: no backup was written: ${written.said}`);
    for (const [what, harm] of Object.entries(HARMS)) {
      await end(daemon, 'SIGTERM');
      settle(file);
      harm(file);
      await refused(what, { folder, file, broken });
      await restored(what, { folder, file, backup, site, broken });
      daemon = startProgram(folder);
      if (!(await site.ready())) broken(`${what}: not ready on the restored copy`);
      if ((site.order()?.runs.length ?? 0) > 0) broken(`${what}: water under the restored hold`);
      await site.confirmFresh();
      tried.push(what);
    }
    await end(daemon, 'SIGTERM');
    return `damage: ${tried.join(' and ')}: refused, kept as a copy and restored from a backup`;
  } finally {
    if (daemon) await end(daemon, 'SIGKILL');
    rmSync(folder, { recursive: true, force: true });
  }
}

/** What still stands in the log beside the file would hide the harm. */
function settle(file: string): void {
  const db = new Database(file);
  db.pragma('wal_checkpoint(TRUNCATE)');
  db.close();
}

const HARMS: Readonly<Record<string, (file: string) => void>> = {
  'bytes overwritten in the middle'(file) {
    const middle = Math.floor(statSync(file).size / 2 / PAGE_BYTES) * PAGE_BYTES;
    const handle = openSync(file, 'r+');
    writeSync(handle, Buffer.alloc(4 * PAGE_BYTES, 0xa5), 0, 4 * PAGE_BYTES, middle);
    closeSync(handle);
  },
  'a file cut off in the middle'(file) {
    truncateSync(file, Math.floor(statSync(file).size / 2));
  },
};

async function refused(
  what: string,
  { folder, file, broken }: { folder: string; file: string; broken(what: string): void },
): Promise<void> {
  const harmed = readFileSync(file);
  const { code, said } = await command(folder, ['run', '--log-level', 'silent']);
  if (code !== 1) broken(`${what}: the daemon ended with ${code}, not with 1`);
  for (const word of ['the database is damaged', 'a copy is kept as', 'restore a copy']) {
    if (!said.includes(word)) broken(`${what}: it does not say "${word}" (said ${said})`);
  }
  if (!readFileSync(file).equals(harmed)) broken(`${what}: the damaged file was written to`);
  const copies = readdirSync(join(file, '..')).filter(
    (name) => name.includes('.corrupt-') && !name.endsWith('-wal'),
  );
  const isKept = copies.some((name) => readFileSync(join(file, '..', name)).equals(harmed));
  if (!isKept) broken(`${what}: no copy of it is kept`);
}

/** As the README says it. */
async function restored(
  what: string,
  given: {
    folder: string;
    file: string;
    backup: string;
    site: FolderSite;
    broken(what: string): void;
  },
): Promise<void> {
  const { folder, file, backup, site, broken } = given;
  for (const end of ['', '-wal', '-shm']) rmSync(`${file}${end}`, { force: true });
  const checked = await command(folder, ['backup', '--check', backup]);
  if (checked.code !== 0) broken(`${what}: the backup is not sound: ${checked.said}`);
  const bytes = readFileSync(backup);
  const handle = openSync(file, 'w');
  writeSync(handle, bytes);
  closeSync(handle);
  const held = await command(folder, ['hold', '--who', 'Person 1 (invented)', '--why', 'restored']);
  if (held.code !== 0) broken(`${what}: no hold on the restored copy: ${held.said}`);
  if (!(await until(() => site.order()?.runs.length === 0, 5_000))) {
    broken(`${what}: the hold after the restore did not reach the folder`);
  }
}

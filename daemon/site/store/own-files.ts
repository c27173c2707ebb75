import {
  chmodSync,
  closeSync,
  constants,
  existsSync,
  fchmodSync,
  fchownSync,
  lchownSync,
  lstatSync,
  mkdirSync,
  openSync,
  readdirSync,
  statSync,
  writeFileSync,
} from 'node:fs';
import { dirname, join } from 'node:path';

/**
 * What the data folder holds is the daemon's alone: who may read it sees people and plans, and who
 * may open the lock or the database can hold the daemon up.
 */
const FILE_MODE = 0o600;
const FOLDER_MODE = 0o700;
const OTHERS = 0o077;

/** Files and folders that the program itself puts into its data folder. */
const OWN_FILES =
  /^(dewbeat\.sqlite.*|instance\.lock.*|\.?(status|site)\.json.*|last-look(\.tmp)?|demo-place\.json)$/;
const OWN_FOLDERS: ReadonlySet<string> = new Set(['looks', 'sands']);

/** Makes a folder of our own where there is none yet. */
export function makeOwnFolder(folder: string): void {
  if (existsSync(folder)) return;
  // What stands above it is given away as well: a data folder lies in `dewbeat-data` of its own.
  makeOwnFolder(dirname(folder));
  mkdirSync(folder, { recursive: true, mode: FOLDER_MODE });
  const keeper = keeperOf(folder);
  if (keeper !== null) lchownSync(folder, keeper.uid, keeper.gid);
}

/** Makes an empty file of our own where there is none yet: a database made in it keeps its rights. */
export function makeOwnFile(file: string): void {
  if (existsSync(file)) return;
  inOwnFile(file, () => {});
}

/** Writes a file of our own, as a whole. */
export function writeOwnFile(file: string, content: string | Uint8Array): void {
  inOwnFile(file, (handle) => writeFileSync(handle, content), constants.O_TRUNC);
}

/** For a file that was copied. */
export function keepToOurselves(file: string): void {
  inOwnFile(file, () => {});
}

/** A link that somebody has put there is not followed: what it leads to is not ours. */
function inOwnFile(file: string, act: (handle: number) => void, flags = 0): void {
  const { O_CREAT, O_NOFOLLOW, O_WRONLY } = constants;
  const handle = openSync(file, O_CREAT | O_NOFOLLOW | O_WRONLY | flags, FILE_MODE);
  try {
    fchmodSync(handle, FILE_MODE);
    const keeper = keeperOf(file);
    if (keeper !== null) fchownSync(handle, keeper.uid, keeper.gid);
    act(handle);
  } finally {
    closeSync(handle);
  }
}

/**
 * Takes the rights of others from a data folder that an earlier program left open, as far as it is
 * ours. A folder that holds the config as well, or no database, may be somebody's for other things:
 * there our files alone are shut. What cannot be changed stays as it is: no order waits for it.
 */
export function shutOwnFolder(folder: string, databaseFile: string): void {
  try {
    const names = readdirSync(folder);
    const isOurs = names.includes(databaseFile) && !names.some((name) => /\.ya?ml$/.test(name));
    if (isOurs) shut(folder, FOLDER_MODE);
    for (const name of names) {
      const path = join(folder, name);
      if (OWN_FILES.test(name)) shut(path, FILE_MODE);
      if (!OWN_FOLDERS.has(name)) continue;
      shut(path, FOLDER_MODE);
      for (const inside of readdirSync(path)) shut(join(path, inside), FILE_MODE);
    }
  } catch {
    // Another process may be replacing a file this very moment; the next start looks again.
  }
}

function shut(path: string, mode: number): void {
  const stats = lstatSync(path);
  const us = process.geteuid?.();
  const isOurs = !stats.isSymbolicLink() && (us === stats.uid || us === 0);
  if (isOurs && (stats.mode & OTHERS) !== 0) chmodSync(path, mode);
}

/**
 * Whom the folder around belongs to, where that is not us: a command of the machine's keeper must
 * leave nothing that the service's user cannot open.
 */
function keeperOf(path: string): { uid: number; gid: number } | null {
  if (process.geteuid?.() !== 0) return null;
  const { uid, gid } = statSync(dirname(path));
  return uid === 0 ? null : { uid, gid };
}

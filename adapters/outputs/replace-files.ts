import { randomBytes } from 'node:crypto';
import {
  closeSync,
  fchmodSync,
  fstatSync,
  fsyncSync,
  mkdirSync,
  openSync,
  readFileSync,
  renameSync,
  rmSync,
  writeFileSync,
} from 'node:fs';
import type { FileHandle } from 'node:fs/promises';
import * as nodeFiles from 'node:fs/promises';
import { join } from 'node:path';
import type { Answer } from '../contract.ts';

/** The few file calls used here, so that tests can let a disk fill up. */
export type FileCalls = Pick<typeof nodeFiles, 'mkdir' | 'open' | 'rename' | 'rm'>;

export interface NewFile {
  name: string;
  text: string;
}

/** Rights of what is written: the folder's, and the files'. */
export interface FileRights {
  folder: number;
  file: number;
}

/** Nobody but the user that writes. */
const OWN: FileRights = { folder: 0o700, file: 0o600 };

/** A fault while replacing files, with how far it came. */
export class ReplaceFault extends Error {
  readonly code: string;
  /** Names that already hold the new text. */
  readonly replaced: readonly string[];

  constructor(cause: unknown, replaced: readonly string[]) {
    super(cause instanceof Error ? cause.message : String(cause), { cause });
    this.code = (cause as { code?: string } | null)?.code ?? 'UNKNOWN';
    this.replaced = replaced;
  }
}

/**
 * Replaces files of one folder so that a reader sees the old text or the new and never a part, and
 * a power cut keeps one of the two. All temporaries reach the disk before the first rename, so a
 * full disk changes nothing. The last file of the list is renamed last: it is the one to trust.
 *
 * @param may Asked right before each rename; false leaves the rest as it is.
 * @throws ReplaceFault With the code `OVERTAKEN` when it may not go on.
 */
export async function replaceFiles(
  folder: string,
  files: readonly NewFile[],
  calls: FileCalls = nodeFiles,
  may: () => boolean = () => true,
  rights: FileRights = OWN,
): Promise<void> {
  const replaced: string[] = [];
  const mark = randomBytes(6).toString('hex');
  const temporary = (name: string) => join(folder, `.${name}.${mark}.tmp`);
  try {
    await calls.mkdir(folder, { recursive: true, mode: rights.folder });
    for (const file of files)
      await writeThrough(temporary(file.name), file.text, { calls, rights });
    for (const file of files) {
      if (!may()) throw Object.assign(new Error('overtaken'), { code: 'OVERTAKEN' });
      await calls.rename(temporary(file.name), join(folder, file.name));
      replaced.push(file.name);
    }
    await syncFolder(folder, calls);
  } catch (error) {
    await Promise.allSettled(files.map((file) => calls.rm(temporary(file.name), { force: true })));
    throw new ReplaceFault(error, replaced);
  }
}

async function writeThrough(
  path: string,
  text: string,
  { calls, rights }: { calls: FileCalls; rights: FileRights },
): Promise<void> {
  const handle = await calls.open(path, 'wx', rights.file);
  try {
    // The process may be run under a mask that takes away what a receiver was given.
    if (rights !== OWN) await handle.chmod(rights.file);
    await handle.writeFile(text, 'utf8');
    await handle.sync();
  } finally {
    await handle.close();
  }
}

/** The rename itself lives in the folder: without this a power cut can bring the old file back. */
async function syncFolder(folder: string, calls: FileCalls): Promise<void> {
  const handle = await calls.open(folder, 'r');
  try {
    await handle.sync();
  } finally {
    await handle.close();
  }
}

/** Codes of a disk that takes no more. */
const FULL = new Set(['ENOSPC', 'EDQUOT']);

/**
 * Replaces files as `replaceFiles` does, and on a full disk gives up the old ones to make room.
 *
 * For a withdrawal alone: what stands there says that water runs, and to stop comes before
 * remembering. A reader that finds nothing for a moment, or for good, does not start a run.
 *
 * @throws ReplaceFault when even that gives no room; the old files are gone then.
 */
export async function replaceOrMakeRoom(
  folder: string,
  files: readonly NewFile[],
  calls: FileCalls = nodeFiles,
  may: () => boolean = () => true,
  rights?: FileRights,
): Promise<void> {
  try {
    await replaceFiles(folder, files, calls, may, rights);
  } catch (error) {
    if (!(error instanceof ReplaceFault && FULL.has(error.code))) throw error;
    for (const { name } of files) await calls.rm(join(folder, name), { force: true });
    const gone = files.map(({ name }) => name);
    await replaceFiles(folder, files, calls, may, rights).catch((again: unknown) => {
      throw new ReplaceFault(again, gone);
    });
  }
}

interface Words {
  kind: 'rejected' | 'unknown';
  wrong: string;
  remedy: string;
}

/** Faults that stay until a person changes something are refusals; the others are tried again. */
const WORDS: Record<string, Words> = {
  EACCES: {
    kind: 'rejected',
    wrong: 'no permission to write',
    remedy: 'let the daemon write there',
  },
  EPERM: {
    kind: 'rejected',
    wrong: 'no permission to write',
    remedy: 'let the daemon write there',
  },
  EROFS: { kind: 'rejected', wrong: 'the folder is read-only', remedy: 'choose one that is not' },
  ENOTDIR: { kind: 'rejected', wrong: 'a file stands in the path', remedy: 'name a folder' },
  EEXIST: { kind: 'rejected', wrong: 'a file stands in the path', remedy: 'name a folder' },
  EISDIR: {
    kind: 'rejected',
    wrong: 'a folder has the name of a plan file',
    remedy: 'move it away',
  },
  ENAMETOOLONG: { kind: 'rejected', wrong: 'the path is too long', remedy: 'shorten it' },
  OVERTAKEN: { kind: 'rejected', wrong: 'a hold came first', remedy: 'confirm a fresh plan' },
  ENOSPC: { kind: 'unknown', wrong: 'the disk is full', remedy: 'free some space' },
  EDQUOT: { kind: 'unknown', wrong: 'the quota is used up', remedy: 'free some space' },
};
const OTHER: Words = { kind: 'unknown', wrong: 'the write failed', remedy: 'look at the disk' };

/** Puts a fault of a file write into an answer; once a file was replaced nobody can say any more. */
export function fileFault({ where, error }: { where: string; error: unknown }): Answer {
  const fault = error instanceof ReplaceFault ? error : new ReplaceFault(error, []);
  const { kind, wrong, remedy } = WORDS[fault.code] ?? OTHER;
  const partly = fault.replaced.length > 0;
  const state = partly
    ? `${fault.replaced.join(' and ')} already changed`
    : 'the files there are unchanged';
  return {
    kind: partly ? 'unknown' : kind,
    detail: `${where}: ${wrong} (got ${fault.code}); ${remedy}: ${state}`,
  };
}

/** Enough for the folder, a file and one more. */
const SPARE = 3;
/** The process, or the machine, has no descriptor left. */
const NONE_LEFT = new Set(['EMFILE', 'ENFILE']);

/**
 * File calls that wait for the disk in the thread that makes them, and for nothing else: the four
 * threads that all other file calls of a process share may be taken. A few descriptors are kept
 * back, so that a stop can be written when others have taken all.
 */
export function syncFileCalls(): FileCalls {
  const spare: number[] = [];
  const keepSpare = () => {
    try {
      while (spare.length < SPARE) spare.push(openSync('/dev/null', 'r'));
    } catch {
      // None left just now: those that are kept have to do.
    }
  };
  const openSpared: typeof openSync = (path, flags, mode) => {
    try {
      return openSync(path, flags, mode);
    } catch (error) {
      const next = spare.pop();
      if (next === undefined || !NONE_LEFT.has((error as { code?: string }).code ?? ''))
        throw error;
      closeSync(next);
      return openSync(path, flags, mode);
    }
  };
  keepSpare();
  return {
    mkdir: (async (path: string, options: { recursive: true }) =>
      mkdirSync(path, options)) as FileCalls['mkdir'],
    open: async (path, flags, mode) => {
      const handle = openSpared(path as string, flags ?? 'r', mode);
      return {
        writeFile: async (text: string) => writeFileSync(handle, text),
        readFile: async () => readFileSync(handle, 'utf8'),
        stat: async () => fstatSync(handle),
        chmod: async (rights: number) => fchmodSync(handle, rights),
        sync: async () => fsyncSync(handle),
        close: async () => {
          closeSync(handle);
          keepSpare();
        },
      } as unknown as FileHandle;
    },
    rename: async (from, to) => renameSync(from, to),
    rm: async (path, options) => rmSync(path, options),
  };
}

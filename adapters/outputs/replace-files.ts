import { randomBytes } from 'node:crypto';
import * as nodeFiles from 'node:fs/promises';
import { join } from 'node:path';

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

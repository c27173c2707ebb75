import * as nodeFiles from 'node:fs/promises';
import { join } from 'node:path';
import {
  type FileCalls,
  type FileRights,
  type NewFile,
  ReplaceFault,
  replaceFiles,
} from './replace-files.ts';

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

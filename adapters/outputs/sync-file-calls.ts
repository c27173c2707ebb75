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
import type { FileCalls } from './replace-files.ts';

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

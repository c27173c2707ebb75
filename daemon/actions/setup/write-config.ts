import * as nodeFiles from 'node:fs';
import { basename, dirname, join } from 'node:path';

/** What writing asks of the disk; tests let single calls fail. */
export type DiskCalls = Pick<
  typeof nodeFiles,
  | 'openSync'
  | 'writeSync'
  | 'fsyncSync'
  | 'closeSync'
  | 'renameSync'
  | 'readFileSync'
  | 'realpathSync'
  | 'statSync'
  | 'unlinkSync'
>;

/** A config written, or why it was not; the old one stands whole then. */
export type Written =
  | { ok: true; path: string; copy: string | null }
  | { ok: false; message: string };

/**
 * Writes a config whole or not at all: a copy of the old file under its date, the new text in a file
 * beside it, forced to the disk, then renamed into place.
 */
export function writeConfig(
  given: { path: string; text: string; before: string | null; nowMs: number },
  calls: DiskCalls = nodeFiles,
): Written {
  const { text, before, nowMs } = given;
  const path = realPath(given.path, calls);
  const stamp = new Date(nowMs).toISOString().replace(/[-:]|\.\d+/g, '');
  const temporary = join(dirname(path), `.${basename(path)}.${stamp}-${process.pid}.new`);
  try {
    const now = textOf(path, calls);
    if (now !== before) {
      return {
        ok: false,
        message: `${given.path}: has changed since it was read; look at the change, then begin again`,
      };
    }
    const mode = before === null ? 0o600 : rightsOf(calls.statSync(path).mode);
    const copy =
      before === null ? null : keptCopy(`${path}.${stamp}`, { text: before, mode: 0o600 }, calls);
    put(temporary, { text, mode }, calls);
    calls.renameSync(temporary, path);
    forceFolder(dirname(path), calls);
    return { ok: true, path, copy };
  } catch (error) {
    try {
      calls.unlinkSync(temporary);
    } catch {
      // It was not there yet, or the disk is gone: nothing reads it in either case.
    }
    const { code, message } = error as NodeJS.ErrnoException;
    const why =
      code === 'EACCES' || code === 'EROFS' || code === 'EPERM'
        ? 'no permission'
        : (code ?? message);
    return {
      ok: false,
      message: `${given.path}: cannot be written (got ${why}); the file before stands as it was. Give leave to write there, or run dewbeat init as the machine's keeper`,
    };
  }
}

/** Our own alone; what the machine's keeper writes may be for a service's user to read. */
function rightsOf(mode: number): number {
  return mode & (process.geteuid?.() === 0 ? 0o744 : 0o700);
}

/** A file that is a link elsewhere is written where it lies. */
function realPath(path: string, calls: DiskCalls): string {
  try {
    return calls.realpathSync(path);
  } catch {
    return path;
  }
}

function textOf(path: string, calls: DiskCalls): string | null {
  try {
    // A pipe would keep whoever opens it waiting.
    if (!calls.statSync(path).isFile()) throw new Error('no plain file');
    return calls.readFileSync(path, 'utf8');
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === 'ENOENT') return null;
    throw error;
  }
}

/** A copy never takes the place of an earlier one. */
function keptCopy(name: string, content: { text: string; mode: number }, calls: DiskCalls): string {
  for (let turn = 0; turn < 100; turn += 1) {
    const copy = turn === 0 ? `${name}.old` : `${name}-${turn}.old`;
    try {
      put(copy, content, calls);
      return copy;
    } catch (error) {
      if ((error as NodeJS.ErrnoException).code !== 'EEXIST') throw error;
    }
  }
  throw new Error(`${name}: has too many copies of one second`);
}

function put(path: string, { text, mode }: { text: string; mode: number }, calls: DiskCalls): void {
  const file = calls.openSync(path, 'wx', mode);
  try {
    calls.writeSync(file, text);
    calls.fsyncSync(file);
  } finally {
    calls.closeSync(file);
  }
}

function forceFolder(folder: string, calls: DiskCalls): void {
  const handle = calls.openSync(folder, 'r');
  try {
    calls.fsyncSync(handle);
  } finally {
    calls.closeSync(handle);
  }
}

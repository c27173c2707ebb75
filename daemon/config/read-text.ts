import { closeSync, constants, fstatSync, openSync, readSync, type Stats, statSync } from 'node:fs';

/** A file's text, or in words why there is none. */
export type TextReading = { ok: true; text: string } | { ok: false; why: string };

/** A config larger than this is no config. */
export const MOST_CONFIG_BYTES = 2 * 2 ** 20;

/**
 * Reads a small text file; `mostBytes` is the most that is read. Whatever is no plain file is told of at
 * once: a pipe or a device could keep its reader waiting for ever.
 */
export function readText(path: string, mostBytes = MOST_CONFIG_BYTES): TextReading {
  const read = readBytes(path, mostBytes);
  if (!read.ok) return read;
  if (!read.isWhole) return { ok: false, why: `larger than ${sizeText(mostBytes)}` };
  return { ok: true, text: read.bytes.toString('utf8') };
}

/** Bytes of a file's head: thirty lines of the widest table. */
const HEAD_BYTES = 64 * 1024;

/** Reads the first lines of a plain file, whole ones alone, however long it goes on. */
export function readHead(path: string): TextReading {
  const read = readBytes(path, HEAD_BYTES);
  if (!read.ok) return read;
  const text = read.bytes.toString('utf8');
  return { ok: true, text: read.isWhole ? text : text.slice(0, text.lastIndexOf('\n') + 1) };
}

type BytesReading = { ok: true; bytes: Buffer; isWhole: boolean } | { ok: false; why: string };

function readBytes(path: string, mostBytes: number): BytesReading {
  try {
    const before = statSync(path);
    if (!before.isFile()) return { ok: false, why: whatItIs(before) };
    // What stands there may have changed since: an open that does not wait finds that out as well.
    const file = openSync(path, constants.O_RDONLY | constants.O_NONBLOCK);
    try {
      const found = fstatSync(file);
      if (!found.isFile()) return { ok: false, why: whatItIs(found) };
      const bytes = Buffer.alloc(Math.min(found.size, mostBytes) + 1);
      let length = 0;
      for (let read = -1; read !== 0 && length < bytes.length; length += read) {
        read = readSync(file, bytes, length, bytes.length - length, null);
      }
      const isWhole = length <= mostBytes;
      return { ok: true, bytes: bytes.subarray(0, Math.min(length, mostBytes)), isWhole };
    } finally {
      closeSync(file);
    }
  } catch (error) {
    const code = (error as NodeJS.ErrnoException).code;
    const words: Record<string, string> = {
      ENOENT: 'no such file',
      EACCES: 'no permission',
    };
    return { ok: false, why: words[code ?? ''] ?? code ?? 'a fault' };
  }
}

/** What stands under a path that is no plain file. */
export function whatItIs(found: Stats): string {
  if (found.isDirectory()) return 'a folder';
  if (found.isFIFO()) return 'a pipe';
  return found.isSocket() ? 'a socket' : 'a device';
}

function sizeText(bytes: number): string {
  return bytes < 2 ** 20 ? `${bytes / 2 ** 10} KB` : `${bytes / 2 ** 20} MB`;
}

/** True for a plain map of keys. */
export function isMap(raw: unknown): raw is Record<string, unknown> {
  return typeof raw === 'object' && raw !== null && !Array.isArray(raw);
}

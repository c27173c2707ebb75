import { constants, type Stats } from 'node:fs';
import { type FileHandle, open, stat } from 'node:fs/promises';

/** A pipe, a device, a folder or a socket stands where a file should: it is never opened to be read. */
export class NotRegular extends Error {
  override name = 'NotRegular';
  /** In words: "a folder", "a named pipe". */
  readonly kind: string;

  constructor(kind: string) {
    super(`this is ${kind} and no file`);
    this.kind = kind;
  }
}

/** A file is larger than whoever reads it can take. */
export class TooLarge extends Error {
  override name = 'TooLarge';
  readonly gotBytes: number;

  constructor(gotBytes: number) {
    super(`the file is too large (got ${shownSize(gotBytes)})`);
    this.gotBytes = gotBytes;
  }
}

/** An open file and what it is, looked at through the open file and not through its name. */
export interface OpenFile {
  handle: FileHandle;
  stats: Stats;
}

/**
 * Opens a regular file to be read. A named pipe without a writer would hold a thread for ever, and
 * the machine has four for all files: it is looked at before it is opened, opened without waiting,
 * and looked at again, as the name may have been given to something else in between.
 *
 * @throws NotRegular, or the system's error with its `code`.
 */
export async function openRegular(path: string): Promise<OpenFile> {
  mustBeRegular(await stat(path));
  const handle = await open(path, constants.O_RDONLY | constants.O_NONBLOCK);
  try {
    const stats = await handle.stat();
    mustBeRegular(stats);
    return { handle, stats };
  } catch (error) {
    await handle.close();
    throw error;
  }
}

/**
 * The bytes of a regular file, read in blocks up to a length that is held against what comes and
 * not only against what the file says of itself.
 *
 * @throws NotRegular, TooLarge, or the system's error with its `code`.
 */
export async function readRegular(
  path: string,
  mostBytes: number,
): Promise<{ bytes: Buffer; stats: Stats }> {
  const { handle, stats } = await openRegular(path);
  try {
    if (stats.size > mostBytes) throw new TooLarge(stats.size);
    const blocks: Buffer[] = [];
    let length = 0;
    for (;;) {
      const block = await readBlock(handle, length, BLOCK_BYTES);
      if (block.length === 0) return { bytes: Buffer.concat(blocks), stats };
      length += block.length;
      if (length > mostBytes) throw new TooLarge(length);
      blocks.push(block);
    }
  } finally {
    await handle.close();
  }
}

/** As many bytes as there are from a place on, up to a length. */
export async function readBlock(
  handle: FileHandle,
  atByte: number,
  mostBytes: number,
): Promise<Buffer> {
  const { buffer, bytesRead } = await handle.read({
    buffer: Buffer.allocUnsafeSlow(mostBytes),
    position: atByte,
  });
  return buffer.subarray(0, bytesRead);
}

const BLOCK_BYTES = 65_536;

/** A size as a person reads it: `21.0 MB`. */
export function shownSize(bytes: number): string {
  return bytes < 1e5 ? `${bytes} bytes` : `${(bytes / 1e6).toFixed(1)} MB`;
}

function mustBeRegular(stats: Stats): void {
  if (stats.isFile()) return;
  throw new NotRegular(kindOf(stats));
}

function kindOf(stats: Stats): string {
  if (stats.isDirectory()) return 'a folder';
  if (stats.isFIFO()) return 'a named pipe';
  if (stats.isSocket()) return 'a socket';
  return 'a device';
}

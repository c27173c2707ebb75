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
interface OpenFile {
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
      const block = await readBlock(handle, length, COPY_BYTES);
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

const COPY_BYTES = 65_536;

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

/** Read at once; also the longest line that is taken. */
export const LINE_BLOCK_BYTES = 65_536;

const LINE_END = 0x0a;
const RETURN = 0x0d;

/** A line of a file that is read in parts. */
export interface FileLine {
  /** Byte at which it begins. */
  atByte: number;
  /** Byte behind it and its line end. */
  endByte: number;
  text: string;
  /** It is the file's last and has no line end. */
  openEnded: boolean;
}

/** What one block of a file gave. */
interface LineBlock {
  lines: FileLine[];
  /** Lines that were longer than a block, and so left out. */
  tooLong: number;
  /** Nothing comes after it. */
  last: boolean;
}

/**
 * The whole lines of a file in UTF-8 from a byte on, block by block. A start in the middle of a
 * line skips to the next one.
 */
export async function* linesFrom(
  handle: FileHandle,
  { atByte, endByte, midLine }: { atByte: number; endByte: number; midLine: boolean },
): AsyncGenerator<LineBlock> {
  let carried = Buffer.alloc(0);
  let carriedAt = atByte;
  let skipping = midLine;
  for (let at = atByte; at < endByte; ) {
    const block = await readBlock(handle, at, Math.min(LINE_BLOCK_BYTES, endByte - at));
    if (block.length === 0) break;
    at += block.length;
    const last = at >= endByte;
    const bytes = carried.length === 0 ? block : Buffer.concat([carried, block]);
    const made: LineBlock = { lines: [], tooLong: 0, last };
    let from = 0;
    for (let end = bytes.indexOf(LINE_END); end >= 0; end = bytes.indexOf(LINE_END, from)) {
      if (!skipping) made.lines.push(lineOf(bytes, { from, end, carriedAt, openEnded: false }));
      skipping = false;
      from = end + 1;
    }
    const left = bytes.subarray(from);
    if (last && left.length > 0 && !skipping) {
      made.lines.push(lineOf(bytes, { from, end: bytes.length, carriedAt, openEnded: true }));
    }
    if (left.length > LINE_BLOCK_BYTES && !skipping) {
      made.tooLong++;
      skipping = true;
    }
    carriedAt += skipping ? bytes.length : from;
    carried = skipping ? Buffer.alloc(0) : Buffer.from(left);
    yield made;
  }
}

function lineOf(
  bytes: Buffer,
  place: { from: number; end: number; carriedAt: number; openEnded: boolean },
): FileLine {
  const { from, end, carriedAt, openEnded } = place;
  const shown = bytes[end - 1] === RETURN && end > from ? end - 1 : end;
  return {
    atByte: carriedAt + from,
    endByte: carriedAt + end + (openEnded ? 0 : 1),
    text: bytes.toString('utf8', from, shown),
    openEnded,
  };
}

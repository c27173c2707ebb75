import type { FileHandle } from 'node:fs/promises';
import { readBlock } from '../regular-file.ts';

/** Read at once; also the longest line that is taken. */
export const BLOCK_BYTES = 65_536;

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
export interface LineBlock {
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
    const block = await readBlock(handle, at, Math.min(BLOCK_BYTES, endByte - at));
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
    if (left.length > BLOCK_BYTES && !skipping) {
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

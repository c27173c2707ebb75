import { createHash } from 'node:crypto';
import type { FileHandle } from 'node:fs/promises';
import { timeSlice } from '../event-loop.ts';
import { LINE_BLOCK_BYTES, linesFrom, readBlock, shownSize } from '../regular-file.ts';
import {
  type RowCollector,
  readHead,
  rowCollector,
  type TableHead,
  type TableLayout,
} from './csv-table.ts';
import { HOUR_MS } from './hour-grid.ts';
import { WeatherUnreadable } from './source.ts';
import {
  isNewestFirst,
  type StampedRow,
  type StampedTable,
  type StampReader,
  stampedRow,
} from './timed-rows.ts';

/** As far as a stamp of any zone may stand from the hour that it is of. */
export const MARGIN_MS = 16 * HOUR_MS;
/** Rows of one stretch: two days and the margin at every ten seconds. */
const MOST_ROWS = 30_000;
/** Read for one stretch, whatever stands in it. */
const MOST_BYTES = 16_000_000;
/** Enough to tell in which time a block lies; its middle is not moved by a clock that was reset. */
const SAMPLED_ROWS = 31;
/** Rows beyond a stretch, one after another, before it counts as over. */
const BEYOND_ROWS = 200;
const COMPARED_BYTES = 4_096;

/** The times of a stretch as they stand in the file: see `roughMs`. */
export interface RoughSpan {
  fromMs: number;
  toMs: number;
}

/** What the beginning and the end of a file tell of the whole. */
export interface FileShape {
  columns: string[];
  delimiter: string;
  /** Byte of the first row. */
  firstByte: number;
  sizeBytes: number;
  newestFirst: boolean;
  /** Its times are instants, and not what a wall clock shows. */
  inInstants: boolean;
}

/**
 * Looks at both ends of a file whose rows are in order of time.
 * @throws WeatherUnreadable where there are no column names or no row.
 */
export async function shapeOf(
  handle: FileHandle,
  given: { name: string; layout: TableLayout; sizeBytes: number; readerOf: ReaderOf },
): Promise<FileShape> {
  const { name, layout, sizeBytes, readerOf } = given;
  const start = await readBlock(handle, 0, LINE_BLOCK_BYTES);
  if ((start[0] === 0xff && start[1] === 0xfe) || (start[0] === 0xfe && start[1] === 0xff)) {
    throw new WeatherUnreadable(
      `${name}: a file this long is read as UTF-8 alone (got UTF-16 of ${shownSize(sizeBytes)}); export it as UTF-8, or begin a new file`,
    );
  }
  let lineByte = 0;
  for (let line = 1; line < layout.headerLine; line++) {
    lineByte = start.indexOf(0x0a, lineByte) + 1;
    if (lineByte === 0) break;
  }
  const end = start.indexOf(0x0a, lineByte);
  const header = start.toString('utf8', lineByte, Math.max(lineByte, end)).replace(/^\uFEFF/, '');
  const { columns, delimiter } = readHead(header.trimEnd(), name, layout);
  const shape = {
    columns,
    delimiter,
    firstByte: end + 1,
    sizeBytes,
    newestFirst: false,
    inInstants: false,
  };
  const file = { handle, name, shape, reader: readerOf(columns) };
  const first = await stampsOf(file, 0);
  const last = await stampsOf(file, blocksOf(shape) - 1);
  const ends = [first.at(0), last.at(-1)].flatMap((row) => row ?? []);
  if (ends.length < 2) {
    throw new WeatherUnreadable(
      `${name}: no time can be read at the beginning and the end (got ${shownSize(sizeBytes)}); correct time in the config, or export it again`,
    );
  }
  const inInstants = ends.every(({ stamp }) => stamp.kind === 'instant');
  return { ...shape, newestFirst: isNewestFirst(ends), inInstants };
}

type ReaderOf = (columns: string[]) => StampReader;

/** A file that is open, with what is known of it. */
export interface SpanFile {
  handle: FileHandle;
  name: string;
  shape: FileShape;
  reader: StampReader;
}

/** The rows of a stretch, found by halving the file and read from there on. */
export async function readSpan(
  file: SpanFile,
  span: RoughSpan,
): Promise<{ table: StampedTable; untilByte: number }> {
  const { handle, name, shape, reader } = file;
  const { columns, delimiter, firstByte, sizeBytes, newestFirst } = shape;
  const head = { name, columns, counts: 'bytes' as const };
  const stamped: StampedRow[] = [];
  const taken = collector(head, delimiter);
  // A block earlier than found: a row may stand a little out of order.
  const found = await blockOf(file, newestFirst ? span.toMs : span.fromMs);
  const atByte = firstByte + Math.max(0, found - 1) * LINE_BLOCK_BYTES;
  const breath = timeSlice();
  let beyond = 0;
  let untilByte = atByte;
  const blocks = linesFrom(handle, { atByte, endByte: sizeBytes, midLine: atByte > firstByte });
  for await (const { lines, tooLong, last } of blocks) {
    untilByte = last ? sizeBytes : untilByte + LINE_BLOCK_BYTES;
    for (const { atByte: line, text, openEnded } of lines) {
      if (breath.due()) await breath.rest();
      const row = taken.take({ text, line, openEnded });
      const one = row && stampedRow(row, { head, reader, problems: taken.problems });
      if (one === null) continue;
      const { roughlyMs } = one;
      beyond = (newestFirst ? roughlyMs < span.fromMs : roughlyMs > span.toMs) ? beyond + 1 : 0;
      if (roughlyMs >= span.fromMs && roughlyMs <= span.toMs) {
        if (stamped.length < MOST_ROWS) stamped.push(one);
        else taken.tooMany();
      }
    }
    if (tooLong > 0) taken.longLines(tooLong);
    if (beyond >= BEYOND_ROWS) break;
    if (untilByte - atByte >= MOST_BYTES) {
      taken.tooMuch();
      break;
    }
  }
  return { table: { ...head, stamped, problems: taken.problems.all() }, untilByte };
}

/** Rows about an instant, for the newest one that is not after it. */
export async function rowsNear(file: SpanFile, roughlyMs: number): Promise<StampedRow[]> {
  const found = await blockOf(file, roughlyMs);
  const blocks = [found - 1, found, found + 1].filter(
    (block) => block >= 0 && block < blocksOf(file.shape),
  );
  return (await Promise.all(blocks.map((block) => stampsOf(file, block)))).flat();
}

/** What stands right before a byte: the same as before where a file was only added to. */
export async function hashBefore(handle: FileHandle, byte: number): Promise<string> {
  const from = Math.max(0, byte - COMPARED_BYTES);
  return createHash('sha256')
    .update(await readBlock(handle, from, Math.max(1, byte - from)))
    .digest('hex');
}

function collector(head: TableHead, delimiter: string) {
  // The rows are kept by time and not here, so none is too many.
  const made: RowCollector = rowCollector(head, { delimiter, mostRows: Number.POSITIVE_INFINITY });
  const { name } = head;
  let told = false;
  const once = (what: string) => {
    if (!told) made.problems.add({ where: name, what, done: 'the rest left out' });
    told = true;
  };
  return {
    problems: made.problems,
    take(line: Parameters<RowCollector['take']>[0]) {
      made.rows.length = 0;
      return made.take(line);
    },
    tooMany: () =>
      once(
        `rows come too often (got more than ${MOST_ROWS} in three days); export it by the minute`,
      ),
    tooMuch: () =>
      once(`a stretch of days is too long (got ${shownSize(MOST_BYTES)}); export it by the minute`),
    longLines: (count: number) =>
      once(`lines are longer than ${shownSize(LINE_BLOCK_BYTES)} (got ${count}); export it again`),
  };
}

function blocksOf({ sizeBytes, firstByte }: FileShape): number {
  return Math.max(1, Math.ceil((sizeBytes - firstByte) / LINE_BLOCK_BYTES));
}

/** The last block whose middle still lies before an instant, in the file's own order; 0 if none. */
async function blockOf(file: SpanFile, roughlyMs: number): Promise<number> {
  const { newestFirst } = file.shape;
  let low = 0;
  let high = blocksOf(file.shape) - 1;
  while (low < high) {
    const middle = Math.ceil((low + high) / 2);
    const found = await timeFrom(file, middle, high);
    const before = found !== null && (newestFirst ? found.ms > roughlyMs : found.ms < roughlyMs);
    if (before) low = found.block;
    else high = middle - 1;
  }
  return low;
}

/**
 * The time in the middle of a block. Where none can be read there, as where a power cut has left a
 * hole, of the first block behind the hole: its end is found by longer and longer steps, then halved.
 */
async function timeFrom(
  file: SpanFile,
  from: number,
  last: number,
): Promise<{ ms: number; block: number } | null> {
  let silent = from - 1;
  let found: { ms: number; block: number } | null = null;
  for (let block = from, step = 1; found === null; step *= 2) {
    found = await middleOf(file, block);
    if (found !== null) break;
    if (block === last) return null;
    silent = block;
    block = Math.min(last, block + step);
  }
  while (found !== null && found.block - silent > 1) {
    const middle = Math.floor((silent + found.block) / 2);
    const earlier = await middleOf(file, middle);
    if (earlier === null) silent = middle;
    else found = earlier;
  }
  return found;
}

async function middleOf(
  file: SpanFile,
  block: number,
): Promise<{ ms: number; block: number } | null> {
  const times = (await stampsOf(file, block, SAMPLED_ROWS)).map(({ roughlyMs }) => roughlyMs);
  const ms = times.sort((a, b) => a - b)[Math.floor(times.length / 2)];
  return ms === undefined ? null : { ms, block };
}

/** Rows of a block with their times; `most`: a sample spread over it. */
async function stampsOf(
  file: SpanFile,
  block: number,
  most = Number.POSITIVE_INFINITY,
): Promise<StampedRow[]> {
  const { handle, name, shape, reader } = file;
  const atByte = shape.firstByte + block * LINE_BLOCK_BYTES;
  const endByte = Math.min(shape.sizeBytes, atByte + LINE_BLOCK_BYTES);
  const head = { name, columns: shape.columns, counts: 'bytes' as const };
  const taken = collector(head, shape.delimiter);
  const stamped: StampedRow[] = [];
  for await (const { lines } of linesFrom(handle, { atByte, endByte, midLine: block > 0 })) {
    const step = Math.max(1, Math.floor(lines.length / most));
    for (let index = 0; index < lines.length; index += step) {
      const { text, atByte: line, openEnded } = lines[index] ?? { text: '', atByte: 0 };
      const row = openEnded ? null : taken.take({ text, line, openEnded: false });
      const one = row && stampedRow(row, { head, reader, problems: taken.problems });
      if (one) stamped.push(one);
    }
  }
  return stamped;
}

import { createHash } from 'node:crypto';
import type { FileHandle } from 'node:fs/promises';
import { resolve } from 'node:path';
import { parse } from 'csv-parse/sync';
import { z } from 'zod';
import type { OutputContext } from '../contract.ts';
import { timeSlice } from '../event-loop.ts';
import {
  type FileLine,
  LINE_BLOCK_BYTES,
  linesFrom,
  openRegular,
  readBlock,
} from '../regular-file.ts';
import { hashBefore } from '../weather/span-file.ts';
import { settledWithin } from './holds-first.ts';
import type { Timers } from './timers.ts';

/** Looked at and not watched: on network folders nobody tells of a change. */
const LOOK_MS = 2_000;
/** Each report is a write to the disk; a long file is taken in by and by. */
const MOST_ROWS_A_LOOK = 100;
const MOST_BYTES_A_LOOK = 1_000_000;
/** A file that is longer when it is first seen is taken in from this far before its end. */
const MOST_OLD_BYTES = 1_000_000;
const MOST_PROBLEMS_A_LOOK = 10;
/** Lines that are known as passed on when a file replaces another that had them too. */
const MOST_KNOWN_LINES = 50_000;
const STOP_PATIENCE_MS = 500;

/** Passes on what a receiver writes into a file about what ran, each line once. */
interface RanFile {
  start(): void;
  stop(): Promise<void>;
}

/** How far a file has been taken in. */
interface Place {
  inode: number;
  atByte: number;
  /** Lines before `atByte`; counted from where it was begun. */
  lines: number;
  /** What stands right before `atByte`: another file has something else there. */
  mark: string;
  /** The file as it was when all of it had been taken in. */
  seen: string;
  reader: RanReader | null;
  /** `atByte` lies in a line that is too long to be one. */
  midLine: boolean;
}

/**
 * The file may be appended to or replaced; it is read in blocks, and no line again that was read
 * before. What was passed on before a restart is passed on again; the store takes the same run once.
 */
export function watchRanFile(given: {
  output: string;
  file: string;
  context: OutputContext;
  timers: Timers;
}): RanFile {
  const { output, file, context, timers } = given;
  const { log } = context;
  const path = resolve(context.baseFolder, file);
  const known = new Set<string>();
  let place: Place | null = null;
  let fault: string | null = null;
  let cancel: (() => void) | null = null;
  let looking: Promise<void> = Promise.resolve();

  async function look(): Promise<void> {
    const { handle, stats } = await openRegular(path);
    try {
      const { ino: inode, mtimeMs, size } = stats;
      const found = `${inode} ${mtimeMs} ${size}`;
      if (place?.seen === found) return;
      const same =
        place?.inode === inode &&
        place.atByte <= size &&
        place.mark === (await hashBefore(handle, place.atByte));
      if (!same || place === null) place = await beginning(handle, inode, size);
      if (await takeIn(handle, place, size)) place.seen = found;
    } finally {
      await handle.close();
    }
  }

  /** Where a file is begun that has not been seen before: at its end, where it is long. */
  async function beginning(handle: FileHandle, inode: number, size: number): Promise<Place> {
    const begun = { inode, atByte: 0, lines: 0, mark: '', seen: '', reader: null, midLine: false };
    const first = await readBlock(handle, 0, 2);
    if (first.length === 2 && first.readUInt16BE() >= 0xfeff) {
      throw new Error('is no UTF-8; write it as UTF-8');
    }
    if (size <= MOST_OLD_BYTES) return begun;
    log.warn(
      { output },
      `${output}: ${file}: is long (got ${size} bytes); its end alone is taken in, begin a new one`,
    );
    // Its header is read first, then the rest is skipped.
    for await (const { lines } of linesFrom(handle, { atByte: 0, endByte: size, midLine: false })) {
      const header = lines.find(({ text }) => text.trim() !== '');
      const reader = header === undefined ? null : readerOf(header.text);
      const atByte = await nextLine(handle, size - MOST_OLD_BYTES, size);
      return { ...begun, atByte, reader, mark: await hashBefore(handle, atByte) };
    }
    return begun;
  }

  /** Passes on what comes next, up to what one look takes; true when nothing is left. */
  async function takeIn(handle: FileHandle, from: Place, size: number): Promise<boolean> {
    const breath = timeSlice();
    const { atByte } = from;
    const endByte = Math.min(size, atByte + MOST_BYTES_A_LOOK);
    let told = 0;
    let rows = 0;
    const take = (line: FileLine): void => {
      const row = readLine(line.text, from);
      if (typeof row === 'string') {
        told++;
        if (told <= MOST_PROBLEMS_A_LOOK) log.warn({ output }, `${output}: ${row}`);
      } else if (row !== null) {
        rows++;
        passOn(row);
      }
      remember(line.text);
    };
    const advance = async (toByte: number) => {
      from.atByte = toByte;
      from.mark = await hashBefore(handle, toByte);
    };
    let nextByte = atByte;
    try {
      for await (const block of linesFrom(handle, { atByte, endByte, midLine: from.midLine })) {
        for (const line of block.lines) {
          if (breath.due()) await breath.rest();
          // A last line without a line end waits: `24` may be on its way to `240`.
          if (line.openEnded || rows >= MOST_ROWS_A_LOOK) return false;
          nextByte = line.atByte;
          take(line);
          from.lines++;
          nextByte = line.endByte;
          from.midLine = false;
        }
      }
      if (endByte - nextByte > LINE_BLOCK_BYTES) {
        nextByte = endByte;
        if (!from.midLine) log.warn({ output }, `${output}: ${file}: a line has no end; left out`);
        from.midLine = true;
      }
    } finally {
      await advance(nextByte);
      if (told > MOST_PROBLEMS_A_LOOK) {
        const more = told - MOST_PROBLEMS_A_LOOK;
        log.warn({ output }, `${output}: ${file}: ${more} lines more are wrong and were left out`);
      }
    }
    return endByte === size;
  }

  /** The run; what is wrong; or null where the line is empty, a header, or known. */
  function readLine(text: string, from: Place): RanRow | string | null {
    if (text.trim() === '') return null;
    if (from.reader === null) {
      from.reader = readerOf(text);
      return null;
    }
    if (known.has(keyOf(text))) return null;
    return from.reader({ text, number: from.lines + 1, nowMs: context.now() });
  }

  /** @throws Error where the header does not name the columns. */
  function readerOf(header: string): RanReader {
    const reader = ranReader(header.replace(/^\uFEFF/, ''), file);
    if (typeof reader === 'string') throw new Error(reader);
    return reader;
  }

  function remember(text: string): void {
    known.add(keyOf(text));
    for (const oldest of known) {
      if (known.size <= MOST_KNOWN_LINES) break;
      known.delete(oldest);
    }
  }

  function passOn({ stationId, startMs, runS, flowLPerMin }: RanRow): void {
    const atMs = context.now();
    context.report({ kind: 'ran', output, stationId, startMs, runS, flowLPerMin, atMs });
  }

  function wake(): void {
    looking = look().then(
      () => {
        fault = null;
      },
      (error: unknown) => {
        const words = faultOf(error);
        // A file that is not there yet is no fault; any other is one line and not one each look.
        if (words !== fault && words !== 'ENOENT') {
          log.warn({ output }, `${output}: ${file}: cannot be taken in (${words})`);
        }
        fault = words;
      },
    );
    void looking.then(() => {
      if (cancel !== null) cancel = timers.later(LOOK_MS, wake);
    });
  }

  return {
    start: () => {
      cancel ??= timers.later(0, wake);
    },
    stop: async () => {
      cancel?.();
      cancel = null;
      await settledWithin(looking, STOP_PATIENCE_MS);
    },
  };
}

/** Byte at which the first line begins that begins at or behind a place. */
async function nextLine(handle: FileHandle, atByte: number, endByte: number): Promise<number> {
  for await (const { lines } of linesFrom(handle, { atByte, endByte, midLine: true })) {
    if (lines[0] !== undefined) return lines[0].atByte;
  }
  return endByte;
}

function keyOf(line: string): string {
  return createHash('sha256').update(line).digest('base64').slice(0, 16);
}

function faultOf(error: unknown): string {
  if (!(error instanceof Error)) return String(error);
  return 'code' in error ? String(error.code) : error.message;
}

/** One run as the receiver tells it. */
export interface RanRow {
  stationId: string;
  startMs: number;
  runS: number;
  /** Null when the receiver does not measure it. */
  flowLPerMin: number | null;
}

/** A row may be told ahead of our clock by this much: two clocks never agree. */
const AHEAD_MS = 10 * 60_000;
const DAY_S = 86_400;
const FLOW_COLUMNS = ['flow_l_per_min', 'flow'];

const rowSchema = z.object({
  station: z.string().min(1).max(80),
  start: z.iso.datetime({ offset: true }),
  run_seconds: z.coerce.number().min(0).max(DAY_S),
  flow: z.union([z.null(), z.coerce.number().min(0).max(1e6)]),
});

/** Reads one line: the run, or what is wrong with it. */
type RanReader = (line: { text: string; number: number; nowMs: number }) => RanRow | string;

/**
 * A reader of lines under `station,start,run_seconds` and, where it stands, `flow_l_per_min`, in any
 * sequence of columns; a text where the header does not name them. Pure. Every line is judged by
 * itself, so one that is wrong spoils no other.
 *
 * @param name The file as the config writes it, for the problems.
 */
export function ranReader(header: string, name: string): RanReader | string {
  const delimiter = header.includes(';') && !header.includes(',') ? ';' : ',';
  const columns = (cellsOf(header, delimiter) ?? []).map((cell) => cell.toLowerCase());
  const at = (names: readonly string[]) => columns.findIndex((column) => names.includes(column));
  const places: Places = {
    station: at(['station']),
    start: at(['start']),
    run: at(['run_seconds']),
    flow: at(FLOW_COLUMNS),
  };
  if (Math.min(places.station, places.start, places.run) < 0) {
    return `${name}: there are no columns station,start,run_seconds (got ${short(header)}); write them into the first line`;
  }
  return ({ text, number, nowMs }) => {
    const row = readRow(text, cellsOf(text, delimiter), places, nowMs);
    return typeof row === 'string' ? `${name}:${number}: ${row}; the line was left out` : row;
  };
}

interface Places {
  station: number;
  start: number;
  run: number;
  /** -1 where the file tells of no flow. */
  flow: number;
}

/** The row, or what is wrong with it. */
function readRow(
  line: string,
  cells: string[] | null,
  places: Places,
  nowMs: number,
): RanRow | string {
  if (cells === null) return `is no line of values (got ${short(line)})`;
  // An empty cell would count as 0.
  const cell = (place: number) => (cells[place] === '' ? undefined : cells[place]);
  const { success, data, error } = rowSchema.safeParse({
    station: cell(places.station),
    start: cell(places.start),
    run_seconds: cell(places.run),
    flow: cell(places.flow) ?? null,
  });
  if (!success) {
    const fields = [...new Set(error.issues.map(({ path }) => path.join('.')))];
    return `does not fit in ${fields.join(', ')} (got ${short(line)})`;
  }
  const startMs = Date.parse(data.start);
  if (startMs > nowMs + AHEAD_MS) return `lies in the future (got ${data.start})`;
  const { station: stationId, run_seconds: runS, flow: flowLPerMin } = data;
  return { stationId, startMs, runS, flowLPerMin };
}

function cellsOf(line: string, delimiter: string): string[] | null {
  try {
    const records = parse(line, { delimiter, trim: true }) as string[][];
    return records.length === 1 ? (records[0] ?? null) : null;
  } catch {
    return null;
  }
}

function short(text: string): string {
  return text.length > 60 ? `${text.slice(0, 57)}...` : text;
}

import { resolve } from 'node:path';
import { openRegular, shownSize } from '../regular-file.ts';
import { type CsvConfig, columnIndex, readTable, type TableLayout } from './csv-table.ts';
import { type FileReading, keptReader, unreadable, wholeText } from './file-text.ts';
import { HOUR_MS, hourGrid, hoursOf } from './hour-grid.ts';
import {
  problemList,
  type WeatherContext,
  type WeatherProblem,
  type WeatherRequest,
  type WeatherSource,
} from './source.ts';
import {
  type FileShape,
  hashBefore,
  MARGIN_MS,
  readSpan,
  rowsNear,
  type SpanFile,
  shapeOf,
} from './span-file.ts';
import { type StampClock, stampClock } from './stamp-format.ts';
import { type StationHours, stationHours, stationReading } from './station-table.ts';
import { findColumns } from './station-values.ts';
import {
  roughMs,
  type StampedTable,
  type StampReader,
  stampedTable,
  stampReader,
  youngestOf,
} from './timed-rows.ts';

/** Weather from a station's export, looked at again at each request. */
export function csvSource(config: CsvConfig, context: WeatherContext): WeatherSource {
  const { file: name } = config;
  const zoneClock = stampClock(config.zone, context);
  const delimiter = config.delimiter === 'tab' ? '\t' : (config.delimiter ?? null);
  const look = stationFile({
    path: resolve(context.baseFolder, name),
    name,
    layout: { delimiter, headerLine: config.header_line },
    readerOf: (columns) =>
      stampReader(config.time, (column) => columnIndex({ name, columns }, column)),
  });
  return {
    kind: 'csv',
    read: async (request) => {
      const { made: file, problems: fallen } = await look();
      const how = {
        name: `station export ${name}`,
        columns: findColumns({ name, columns: file.columns }, config.columns),
        stamps: config.stamps,
        windHeightM: config.wind_height,
        format: config,
        origin: 'by_time' as const,
        writtenMs: file.writtenMs,
      };
      const hours: StationHours['hours'] = [];
      const problems = problemList(name);
      for (const problem of [...fallen, ...file.problems]) problems.add(problem);
      for (const stretch of file.stretchesOf(request)) {
        const asked = { request: stretch, zoneClock, context };
        const made = await stationHours(await file.near(stretch), how, asked);
        hours.push(...made.hours);
        for (const problem of made.problems) problems.add(problem);
      }
      const youngestMs = await file.youngestMs(zoneClock, request.nowMs);
      const asked = { request, zoneClock, context, file: name, youngestMs };
      return stationReading({ hours, problems: problems.all() }, how, asked);
    },
  };
}

/** Up to this a file is read and held as a whole, in whatever order its rows are. */
const WHOLE_BYTES = 2_000_000;
/** From this on a person is told, though nothing is wrong yet. */
const TOLD_BYTES = 50_000_000;
/** A longer file is read in stretches of so many hours, so that no request holds more. */
const STRETCH_MS = 48 * HOUR_MS;
/** Rows of stretches that are held for the next request. */
const HELD_ROWS = 40_000;

/** A station's file as it is asked: its columns, and rows stretch by stretch. */
interface StationFile {
  columns: string[];
  writtenMs: number;
  problems: readonly WeatherProblem[];
  /** The parts that a request is cut into, in order. */
  stretchesOf(request: WeatherRequest): WeatherRequest[];
  /** Rows that may be of a stretch. */
  near(stretch: WeatherRequest): Promise<StampedTable>;
  /** Newest stamp of the whole file that is not after now; null when every row is to come. */
  youngestMs(clock: StampClock, nowMs: number): Promise<number | null>;
}

/** What a station's file is and how it is laid out. */
interface StationFileKind {
  path: string;
  /** As the config writes it. */
  name: string;
  layout: TableLayout;
  /** @throws WeatherUnreadable where the columns of the config are not among these. */
  readerOf(columns: string[]): StampReader;
}

/**
 * A reader of a station's file. A short file is read as a whole once it has changed. Of a long one
 * the days that are asked for are found by halving it, and held; a file that was only added to keeps
 * what was held, but for its end.
 */
function stationFile(kind: StationFileKind): () => Promise<FileReading<StationFile>> {
  const { path, name } = kind;
  const held = heldStretches();
  return keptReader(path, name, async () => {
    const { handle, stats } = await openRegular(path);
    try {
      if (stats.size <= WHOLE_BYTES) return await wholeFile(kind);
      const { layout, readerOf } = kind;
      const sizeBytes = stats.size;
      const shape = await shapeOf(handle, { name, layout, sizeBytes, readerOf });
      await held.keepFor({ handle, inode: stats.ino, shape });
      return longFile(kind, { shape, held, writtenMs: stats.mtimeMs });
    } finally {
      await handle.close();
    }
  });
}

async function wholeFile({ path, name, layout, readerOf }: StationFileKind): Promise<StationFile> {
  const { text, modifiedMs } = await wholeText(path, name, 2 * WHOLE_BYTES);
  const table = await readTable(text, name, layout);
  const stamped = await stampedTable(table, readerOf(table.columns));
  return {
    columns: table.columns,
    writtenMs: modifiedMs,
    problems: [],
    stretchesOf: (request) => [request],
    near: async () => stamped,
    youngestMs: async (clock, nowMs) => youngestOf(stamped.stamped, clock, nowMs),
  };
}

function longFile(
  { path, name, readerOf }: StationFileKind,
  {
    shape,
    held,
    writtenMs,
  }: { shape: FileShape; held: ReturnType<typeof heldStretches>; writtenMs: number },
): StationFile {
  const reader = readerOf(shape.columns);
  const opened = async <Made>(use: (file: SpanFile) => Promise<Made>): Promise<Made> => {
    try {
      const { handle } = await openRegular(path);
      try {
        return await use({ handle, name, shape, reader });
      } finally {
        await handle.close();
      }
    } catch (error) {
      // It may go away between the look at it and its reading.
      throw unreadable(error, name);
    }
  };
  const told = {
    where: name,
    what: `the file is large (got ${shownSize(shape.sizeBytes)}); begin a new one for each season`,
    done: 'only the days that are asked for are read',
  };
  return {
    columns: shape.columns,
    writtenMs,
    problems: shape.sizeBytes > TOLD_BYTES ? [told] : [],
    stretchesOf,
    near: (stretch) => {
      const index = Math.floor(stretch.fromMs / STRETCH_MS);
      const startMs = index * STRETCH_MS;
      const span = { fromMs: startMs - MARGIN_MS, toMs: startMs + STRETCH_MS + MARGIN_MS };
      return held.of(index, () => opened((file) => readSpan(file, span)));
    },
    async youngestMs(clock, nowMs) {
      const wallNowMs = roughMs({ kind: 'local', local: clock.localOf(nowMs) });
      const about = shape.inInstants ? nowMs : wallNowMs;
      const rows = await opened((file) => rowsNear(file, about));
      return youngestOf(rows, clock, nowMs);
    },
  };
}

/** Cut where every request is cut, so that the next one finds the same stretches. */
function stretchesOf(request: WeatherRequest): WeatherRequest[] {
  const stretches: WeatherRequest[] = [];
  for (const startMs of hoursOf(hourGrid(request.fromMs, request.toMs))) {
    const last = stretches.at(-1);
    const same = last && Math.floor(last.fromMs / STRETCH_MS) === Math.floor(startMs / STRETCH_MS);
    if (same) last.toMs = startMs + HOUR_MS;
    else stretches.push({ ...request, fromMs: startMs, toMs: startMs + HOUR_MS });
  }
  return stretches;
}

interface HeldStretch {
  read: Promise<{ table: StampedTable; untilByte: number }>;
}

/** Stretches that were read, those asked for last kept; who asks for one being read waits for it. */
function heldStretches() {
  const stretches = new Map<number, HeldStretch>();
  let before: { inode: number; sizeBytes: number; mark: string } | null = null;
  return {
    /** Forgets what may be another now. */
    async keepFor(file: { handle: SpanFile['handle']; inode: number; shape: FileShape }) {
      const { handle, inode, shape } = file;
      const { sizeBytes } = shape;
      const added =
        before !== null &&
        before.inode === inode &&
        before.sizeBytes <= sizeBytes &&
        !shape.newestFirst &&
        (await hashBefore(handle, before.sizeBytes)) === before.mark;
      for (const [index, { read }] of stretches) {
        const untilByte = await read.then((one) => one.untilByte).catch(() => sizeBytes);
        if (!added || untilByte >= (before?.sizeBytes ?? 0)) stretches.delete(index);
      }
      before = { inode, sizeBytes, mark: await hashBefore(handle, sizeBytes) };
    },
    async of(index: number, read: () => HeldStretch['read']): Promise<StampedTable> {
      const kept = stretches.get(index) ?? { read: read() };
      stretches.delete(index);
      stretches.set(index, kept);
      try {
        const { table } = await kept.read;
        await forgetOldest();
        return table;
      } catch (error) {
        stretches.delete(index);
        throw error;
      }
    },
  };

  async function forgetOldest(): Promise<void> {
    let rows = 0;
    for (const [index, { read }] of [...stretches].reverse()) {
      const size = await read.then(({ table }) => table.stamped.length).catch(() => 0);
      rows += size;
      if (rows > HELD_ROWS) stretches.delete(index);
    }
  }
}

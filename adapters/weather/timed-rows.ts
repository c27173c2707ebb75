import { timeSlice } from '../event-loop.ts';
import type { LocalTime, SiteClock } from '../site-clock.ts';
import {
  type CsvTable,
  placeOf,
  type TableHead,
  type TableRow,
  type TimeColumns,
} from './csv-table.ts';
import { HOUR_MS, type HourGrid } from './hour-grid.ts';
import { type ProblemList, problemList, type WeatherProblem } from './source.ts';
import { calendarTime, patternReader, type StampClock } from './stamp-format.ts';

/** A row's time: an instant where the text has an offset, else a wall-clock time. */
export type Stamp = { kind: 'instant'; atMs: number } | { kind: 'local'; local: LocalTime };

/** Reads the time columns of a row. */
export interface StampReader {
  /** Positions of the columns that hold the time. */
  indexes: number[];
  /** The time, or null when it cannot be read. */
  read(cells: string[]): Stamp | null;
}

const ISO =
  /^(\d{4})-(\d{2})-(\d{2})[T ](\d{2})(?::?(\d{2})(?::?\d{2}(?:[.,]\d+)?)?)?\s*(Z|[+-]\d{2}(?::?\d{2})?)?$/i;

/** A reader of the time columns that the config names; `indexOf` finds a column's position. */
export function stampReader(time: TimeColumns, indexOf: (column: string) => number): StampReader {
  switch (time.form) {
    case 'iso': {
      const index = indexOf(time.column);
      return { indexes: [index], read: (cells) => parseIso(cells[index] ?? '') };
    }
    case 'pattern': {
      const index = indexOf(time.column);
      return patterned([index], time.pattern);
    }
    case 'date_and_time':
      return patterned([indexOf(time.date), indexOf(time.time)], time.pattern);
    case 'parts':
      return parts(
        [time.year, time.month, time.day, time.hour].map(indexOf),
        time.minute === undefined ? null : indexOf(time.minute),
      );
  }
}

/** ISO 8601 to the minute or finer, with or without an offset; a space may stand for the T. */
export function parseIso(text: string): Stamp | null {
  const found = ISO.exec(text);
  if (!found) return null;
  const [, year, month, day, hour, minute = '0', offset] = found;
  const local = calendarTime({
    year: Number(year),
    month: Number(month),
    day: Number(day),
    hour: Number(hour),
    minute: Number(minute),
  });
  if (!local) return null;
  if (offset === undefined) return { kind: 'local', local };
  return { kind: 'instant', atMs: asUtcMs(local) - offsetMs(offset) };
}

/** The stamp as if the wall clock ran in UTC: within 14 hours of the instant. */
export function roughMs(stamp: Stamp): number {
  return stamp.kind === 'instant' ? stamp.atMs : asUtcMs(stamp.local);
}

/**
 * The instant of a stamp. An hour that the clock repeats in autumn is the second one when the row
 * before it already stands in or after the first.
 */
export function instantOfStamp(stamp: Stamp, clock: StampClock, previousMs: number | null): number {
  if (stamp.kind === 'instant') return stamp.atMs;
  const firstMs = clock.instantOf(stamp.local);
  if (previousMs === null || previousMs < firstMs) return firstMs;
  const secondMs = firstMs + 3_600_000;
  const again = clock.localOf(secondMs);
  const repeated = again.hour === stamp.local.hour && again.minute === stamp.local.minute;
  return repeated && secondMs > previousMs ? secondMs : firstMs;
}

function patterned(indexes: number[], pattern: string): StampReader {
  const read = patternReader(pattern);
  return {
    indexes,
    read: (cells) => {
      const local = read?.(indexes.map((index) => cells[index] ?? '').join(' '));
      return local ? { kind: 'local', local } : null;
    },
  };
}

function parts(dateIndexes: number[], minuteIndex: number | null): StampReader {
  const indexes = minuteIndex === null ? dateIndexes : [...dateIndexes, minuteIndex];
  return {
    indexes,
    read: (cells) => {
      const texts = indexes.map((index) => cells[index] ?? '');
      if (texts.some((text) => !/^\d+$/.test(text))) return null;
      const [year = 0, month = 0, day = 0] = texts.map(Number);
      const [hour, minute] = hourAndMinute(texts[3] ?? '', texts[4] ?? null);
      const local = calendarTime({ year, month, day, hour, minute });
      return local ? { kind: 'local', local } : null;
    },
  };
}

/** Loggers write the hour as 13 or, with the minutes, as 1300. */
function hourAndMinute(hour: string, minute: string | null): [number, number] {
  if (minute !== null) return [Number(hour), Number(minute)];
  if (hour.length <= 2) return [Number(hour), 0];
  return [Number(hour.slice(0, -2)), Number(hour.slice(-2))];
}

function asUtcMs({ year, month, day, hour, minute }: LocalTime): number {
  return Date.UTC(year, month - 1, day, hour, minute);
}

function offsetMs(offset: string): number {
  if (/^z$/i.test(offset)) return 0;
  const digits = offset.slice(1).replace(':', '');
  const minutes = Number(digits.slice(0, 2)) * 60 + Number(digits.slice(2) || '0');
  return (offset.startsWith('-') ? -1 : 1) * minutes * 60_000;
}

/** A row with its instant. */
export interface RowAt {
  row: TableRow;
  stampMs: number;
}

/** The rows of a request, and what else their times tell. */
interface RowsInTime {
  rows: RowAt[];
  problems: WeatherProblem[];
}

/** A row with its time as it is written. */
export interface StampedRow {
  row: TableRow;
  stamp: Stamp;
  /** See `roughMs`. */
  roughlyMs: number;
}

/** A table's rows whose times can be read, and what was wrong with it so far. */
export interface StampedTable extends TableHead {
  stamped: readonly StampedRow[];
  problems: readonly WeatherProblem[];
}

/** No zone is further than this from UTC. */
const FARTHEST_ZONE_MS = 15 * HOUR_MS;

/** Reads the time of every row, once for as long as the file stays as it is. */
export async function stampedTable(table: CsvTable, reader: StampReader): Promise<StampedTable> {
  const breath = timeSlice();
  const problems = problemList(table.name);
  const stamped: StampedRow[] = [];
  for (const row of table.rows) {
    const made = stampedRow(row, { head: table, reader, problems });
    if (made !== null) stamped.push(made);
    if (breath.due()) await breath.rest();
  }
  const { name, columns, counts } = table;
  return {
    name,
    columns,
    ...(counts === undefined ? {} : { counts }),
    stamped,
    problems: [...table.problems, ...problems.all()],
  };
}

/** The row with its time; null, with a problem, where there is none to be trusted. */
export function stampedRow(
  row: TableRow,
  { head, reader, problems }: { head: TableHead; reader: StampReader; problems: ProblemList },
): StampedRow | null {
  const where = placeOf(head, row.line);
  if (row.openEnded) {
    // A station that is writing this very moment; any of its cells may be half of a number.
    const what = `the last line has no line end (got ${row.cells.join(' ').slice(0, 40)})`;
    problems.add({ where, what, done: 'left out until it is whole' });
    return null;
  }
  const stamp = reader.read(row.cells);
  if (stamp) return { row, stamp, roughlyMs: roughMs(stamp) };
  const got = reader.indexes.map((index) => row.cells[index]).join(' ');
  const what = `the time cannot be read (got ${got.slice(0, 40)})`;
  problems.add({ where, what, done: 'left out' });
  return null;
}

/**
 * The rows that may be of the request, in order of time, each time once (the last row of a
 * repeated time is kept), and what was wrong with their times.
 */
export async function rowsInTime(
  table: StampedTable,
  { siteClock, clock, grid }: { siteClock: SiteClock; clock: StampClock; grid: HourGrid },
): Promise<RowsInTime> {
  const breath = timeSlice();
  const problems = problemList(table.name);
  const near = table.stamped.filter(
    ({ roughlyMs }) =>
      roughlyMs >= grid.firstMs - FARTHEST_ZONE_MS && roughlyMs <= grid.endMs + FARTHEST_ZONE_MS,
  );
  if (isNewestFirst(near)) near.reverse();
  const rows: RowAt[] = [];
  let previousMs: number | null = null;
  const backwards: number[] = [];
  for (const { row, stamp } of near) {
    const stampMs = instantOfStamp(stamp, clock, previousMs);
    if (previousMs !== null && stampMs < previousMs) backwards.push(row.line);
    rows.push({ row, stampMs });
    previousMs = stampMs;
    if (breath.due()) await breath.rest();
  }
  if (backwards[0] !== undefined) {
    problems.add({
      where: placeOf(table, backwards[0]),
      what: `times run backwards (got ${backwards.length} such steps, the first here)`,
      done: 'sorted',
    });
  }
  rows.sort((a, b) => a.stampMs - b.stampMs || a.row.line - b.row.line);
  return { rows: withoutRepeats(rows, table, { siteClock, problems }), problems: problems.all() };
}

/** Newest stamp that is not after now; null when every row is to come. */
export function youngestOf(
  rows: readonly StampedRow[],
  clock: StampClock,
  nowMs: number,
): number | null {
  // Wall clocks are compared, so that one row and not the whole file goes through the calendar.
  const wallNowMs = roughMs({ kind: 'local', local: clock.localOf(nowMs) });
  let youngest: { stamp: Stamp; wallMs: number } | null = null;
  for (const { stamp, roughlyMs } of rows) {
    const wallMs = roughlyMs + (stamp.kind === 'instant' ? wallNowMs - nowMs : 0);
    if (wallMs <= wallNowMs && wallMs > (youngest?.wallMs ?? Number.NEGATIVE_INFINITY)) {
      youngest = { stamp, wallMs };
    }
  }
  return youngest === null ? null : Math.min(nowMs, instantOfStamp(youngest.stamp, clock, null));
}

function withoutRepeats(
  rows: readonly RowAt[],
  table: StampedTable,
  { siteClock, problems }: { siteClock: SiteClock; problems: ProblemList },
): RowAt[] {
  return rows.filter(({ row, stampMs }, index) => {
    const next = rows[index + 1];
    if (next?.stampMs !== stampMs) return true;
    const at = table.counts === 'bytes' ? 'at byte' : 'on line';
    problems.add({
      where: placeOf(table, row.line),
      what: `the time comes again ${at} ${next.row.line} (got ${siteClock.isoOf(stampMs)} twice)`,
      done: 'left out, the later line kept',
      rule: 'duplicate_stamp',
    });
    return false;
  });
}

/** Many exports put the newest row on top. */
export function isNewestFirst(rows: readonly StampedRow[]): boolean {
  let forwards = 0;
  rows.forEach((row, index) => {
    const before = rows[index - 1];
    if (before) forwards += Math.sign(row.roughlyMs - before.roughlyMs);
  });
  return forwards < 0;
}

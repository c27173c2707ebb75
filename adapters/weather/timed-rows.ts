import { breather } from '../breather.ts';
import type { SiteClock } from '../site-clock.ts';
import { type CsvTable, placeOf, type TableHead, type TableRow } from './csv-table.ts';
import { HOUR_MS, type HourGrid } from './hour-grid.ts';
import { type ProblemList, problemList } from './problems.ts';
import type { WeatherProblem } from './source.ts';
import { instantOfStamp, roughMs, type Stamp, type StampReader } from './stamps.ts';
import type { StampClock } from './zone-name.ts';

/** A row with its instant. */
export interface RowAt {
  row: TableRow;
  stampMs: number;
}

/** The rows of a request, and what else their times tell. */
export interface RowsInTime {
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
export const FARTHEST_ZONE_MS = 15 * HOUR_MS;

/** Reads the time of every row, once for as long as the file stays as it is. */
export async function stampedTable(table: CsvTable, reader: StampReader): Promise<StampedTable> {
  const breath = breather();
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
  const breath = breather();
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

import type { SiteClock } from '../site-clock.ts';
import type { CsvTable, TableRow } from './csv-table.ts';
import { HOUR_MS, type HourGrid } from './hour-grid.ts';
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
  /** Newest stamp of the whole file that is not after now; null when every row is to come. */
  youngestMs: number | null;
  problems: WeatherProblem[];
}

interface StampedRow {
  row: TableRow;
  stamp: Stamp;
}

/** No zone is further than this from UTC. */
const FARTHEST_ZONE_MS = 15 * HOUR_MS;

/**
 * The rows that may be of the request, in order of time, each time once (the last row of a
 * repeated time is kept), and what was wrong with their times.
 */
export function rowsInTime(
  table: CsvTable,
  reader: StampReader,
  {
    siteClock,
    clock,
    grid,
    nowMs,
  }: { siteClock: SiteClock; clock: StampClock; grid: HourGrid; nowMs: number },
): RowsInTime {
  const problems: WeatherProblem[] = [];
  const near: StampedRow[] = [];
  const stamped = stampedRows(table, reader, problems);
  for (const { row, stamp } of stamped) {
    const at = roughMs(stamp);
    const after = at >= grid.firstMs - FARTHEST_ZONE_MS;
    if (after && at <= grid.endMs + FARTHEST_ZONE_MS) near.push({ row, stamp });
  }
  if (isNewestFirst(near)) near.reverse();
  const rows: RowAt[] = [];
  let previousMs: number | null = null;
  const backwards: number[] = [];
  for (const { row, stamp } of near) {
    const stampMs = instantOfStamp(stamp, clock, previousMs);
    if (previousMs !== null && stampMs < previousMs) backwards.push(row.line);
    rows.push({ row, stampMs });
    previousMs = stampMs;
  }
  if (backwards[0] !== undefined) {
    problems.push({
      where: `${table.name}:${backwards[0]}`,
      what: `times run backwards (got ${backwards.length} such steps, the first here)`,
      done: 'sorted',
    });
  }
  rows.sort((a, b) => a.stampMs - b.stampMs || a.row.line - b.row.line);
  return {
    rows: withoutRepeats(rows, table.name, siteClock, problems),
    youngestMs: youngestOf(stamped, clock, nowMs),
    problems,
  };
}

function youngestOf(rows: readonly StampedRow[], clock: StampClock, nowMs: number): number | null {
  // Wall clocks are compared, so that one row and not the whole file goes through the calendar.
  const wallNowMs = roughMs({ kind: 'local', local: clock.localOf(nowMs) });
  let youngest: { stamp: Stamp; wallMs: number } | null = null;
  for (const { stamp } of rows) {
    const wallMs = roughMs(stamp) + (stamp.kind === 'instant' ? wallNowMs - nowMs : 0);
    if (wallMs <= wallNowMs && wallMs > (youngest?.wallMs ?? Number.NEGATIVE_INFINITY)) {
      youngest = { stamp, wallMs };
    }
  }
  return youngest === null ? null : Math.min(nowMs, instantOfStamp(youngest.stamp, clock, null));
}

/** Every row whose time can be read. */
function stampedRows(
  table: CsvTable,
  reader: StampReader,
  problems: WeatherProblem[],
): StampedRow[] {
  return table.rows.flatMap((row) => {
    if (row.openEnded) {
      // A station that is writing this very moment; any of its cells may be half of a number.
      const what = `the last line has no line end (got ${row.cells.join(' ').slice(0, 40)})`;
      const done = 'left out until it is whole';
      problems.push({ where: `${table.name}:${row.line}`, what, done });
      return [];
    }
    const stamp = reader.read(row.cells);
    if (stamp) return [{ row, stamp }];
    const got = reader.indexes.map((index) => row.cells[index]).join(' ');
    const what = `the time cannot be read (got ${got.slice(0, 40)})`;
    problems.push({ where: `${table.name}:${row.line}`, what, done: 'left out' });
    return [];
  });
}

function withoutRepeats(
  rows: readonly RowAt[],
  name: string,
  clock: SiteClock,
  problems: WeatherProblem[],
): RowAt[] {
  return rows.filter(({ row, stampMs }, index) => {
    const next = rows[index + 1];
    if (next?.stampMs !== stampMs) return true;
    problems.push({
      where: `${name}:${row.line}`,
      what: `the time comes again on line ${next.row.line} (got ${clock.isoOf(stampMs)} twice)`,
      done: 'left out, the later line kept',
      rule: 'duplicate_stamp',
    });
    return false;
  });
}

/** Many exports put the newest row on top. */
function isNewestFirst(rows: readonly StampedRow[]): boolean {
  let forwards = 0;
  rows.forEach((row, index) => {
    const before = rows[index - 1];
    if (before) forwards += Math.sign(roughMs(row.stamp) - roughMs(before.stamp));
  });
  return forwards < 0;
}

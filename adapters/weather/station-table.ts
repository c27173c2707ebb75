import type { HourOrigin, RawHour } from '../../calc/sky/weather-hour.ts';
import type { SiteClock } from '../site-clock.ts';
import type { StationField } from './column-units.ts';
import type { CsvTable } from './csv-table.ts';
import { binByHour, type HourBin, stepOf, type TimedRow } from './hour-bins.ts';
import { HOUR_MS, type HourGrid, hourGrid, hoursOf } from './hour-grid.ts';
import { drawTogether, nameGaps } from './problems.ts';
import type { WeatherContext, WeatherProblem, WeatherReading, WeatherRequest } from './source.ts';
import type { StampReader } from './stamps.ts';
import { hourOfBin, judgeRow } from './station-hour.ts';
import { cellReader, type NumberFormat, type ReadableColumn } from './station-rows.ts';
import { sunCheck } from './sun-check.ts';
import { type RowAt, rowsInTime } from './timed-rows.ts';
import type { StampClock } from './zone-name.ts';

const REFUSED = { done: 'value left out', rule: 'range' } as const;

/** How a table's rows become hours. */
export interface StationTable {
  /** In words for the plan. */
  name: string;
  columns: ReadonlyMap<StationField, ReadableColumn>;
  reader: StampReader;
  stamps: 'hour_beginning' | 'hour_ending';
  windHeightM: number;
  format: NumberFormat;
  /** What its hours are; `by_time`: measured up to now and foretold from then on. */
  origin: 'by_time' | 'observed' | 'forecast';
  /** When the whole of it was written or fetched. */
  writtenMs: number;
}

/** What is asked, and where and by which calendar. */
export interface StationRequest {
  request: WeatherRequest;
  /** Calendar that the stamps are in. */
  zoneClock: StampClock;
  context: WeatherContext;
}

/**
 * A table of a station, or of a forecast laid out like one, as hours: rows in time, judged value by
 * value, brought together by hour.
 */
export function readStation(
  table: CsvTable,
  how: StationTable,
  { request, zoneClock, context }: StationRequest,
): WeatherReading {
  const { clock } = context;
  const { columns, reader } = how;
  const grid = hourGrid(request.fromMs, request.toMs);
  const inTime = rowsInTime(table, reader, {
    siteClock: clock,
    clock: zoneClock,
    grid,
    nowMs: request.nowMs,
  });
  const problems: WeatherProblem[] = [...table.problems, ...inTime.problems];
  const stepMs = stepOf(inTime.rows.map(({ stampMs }) => stampMs));
  const rowsPerHour = Math.max(1, Math.round(HOUR_MS / stepMs));
  const asked = inTime.rows.filter(({ stampMs }) => {
    const startMs = grid.hourOf(how.stamps === 'hour_ending' ? stampMs - 1 : stampMs);
    return startMs >= grid.firstMs && startMs + HOUR_MS <= grid.endMs;
  });
  const timed = valuesOf(asked, { name: table.name, how, rowsPerHour, problems });
  const bins = binByHour(timed, grid, how.stamps);
  const hours: RawHour[] = [];
  for (const bin of bins) {
    const soFar = isUnderWay(bin, { rowsPerHour, request, isLast: bin === bins.at(-1) });
    if (soFar) continue;
    const where = `${table.name}:${bin.rows[0]?.line ?? 0}`;
    if (bin.rows.length < rowsPerHour) {
      const what = `an hour has not all of its rows (got ${bin.rows.length} of ${rowsPerHour})`;
      problems.push({ where, what, done: 'means taken over the rows there are' });
    }
    const made = hourOfBin(bin, columns, () => rowsPerHour);
    problems.push(...made.problems.map((what) => ({ where, what, ...REFUSED })));
    hours.push({
      startMs: bin.startMs,
      origin: originOf(bin.startMs, how.origin, request),
      ...made.values,
      windHeightM: how.windHeightM,
    });
  }
  problems.push(...sunCheck(hours, context, table.name));
  problems.push(...gapsOf(hours, grid, { name: table.name, clock, nowMs: request.nowMs }));
  return {
    source: how.name,
    hours,
    asOfMs: inTime.youngestMs ?? how.writtenMs,
    writtenMs: how.writtenMs,
    problems: drawTogether(problems),
  };
}

function valuesOf(
  rows: readonly RowAt[],
  {
    name,
    how,
    rowsPerHour,
    problems,
  }: {
    name: string;
    how: StationTable;
    rowsPerHour: number;
    problems: WeatherProblem[];
  },
): TimedRow[] {
  const readCell = cellReader(name, how.format);
  return rows.map(({ row, stampMs }) => {
    const values = new Map<StationField, number>();
    for (const [field, column] of how.columns) {
      const cell = readCell(row, column);
      if (cell.problem) problems.push(cell.problem);
      if (cell.value === null) continue;
      const judged = judgeRow(field, cell.value, { unit: column.unit, rowsPerHour });
      if (judged.value !== null) values.set(field, judged.value);
      if (judged.problem !== null) {
        const where = `${name}:${row.line}`;
        problems.push({ where, what: judged.problem, ...REFUSED });
      }
    }
    return { stampMs, line: row.line, values };
  });
}

/** The newest hour, while rows for it are still to come, is nothing wrong: it waits. */
function isUnderWay(
  bin: HourBin,
  facts: { rowsPerHour: number; request: WeatherRequest; isLast: boolean },
): boolean {
  const open = bin.startMs <= facts.request.nowMs && facts.request.nowMs < bin.startMs + HOUR_MS;
  return facts.isLast && open && bin.rows.length < facts.rowsPerHour;
}

/** Past hours that are not there, and holes between hours to come. */
function gapsOf(
  hours: readonly RawHour[],
  grid: HourGrid,
  { name, clock, nowMs }: { name: string; clock: SiteClock; nowMs: number },
): WeatherProblem[] {
  const lastMs = hours.at(-1)?.startMs ?? grid.firstMs - HOUR_MS;
  const wanted = hoursOf(grid).filter(
    (startMs) => startMs <= lastMs || startMs + HOUR_MS <= nowMs - HOUR_MS,
  );
  const present = new Set(hours.map(({ startMs }) => startMs));
  return nameGaps(wanted, present, { where: name, clock });
}

function originOf(
  startMs: number,
  origin: StationTable['origin'],
  { nowMs }: WeatherRequest,
): HourOrigin {
  if (origin !== 'by_time') return origin;
  return startMs < nowMs ? 'observed' : 'forecast';
}

import { resolve } from 'node:path';
import type { RawHour } from '../../calc/sky/weather-hour.ts';
import type { SiteClock } from '../site-clock.ts';
import type { StationField } from './column-units.ts';
import type { CsvConfig } from './csv-config.ts';
import { type CsvTable, columnIndex, readTable } from './csv-table.ts';
import { fileReader } from './file-text.ts';
import { binByHour, type HourBin, stepOf, type TimedRow } from './hour-bins.ts';
import { HOUR_MS, type HourGrid, hourGrid, hoursOf } from './hour-grid.ts';
import { drawTogether, nameGaps } from './problems.ts';
import type {
  WeatherContext,
  WeatherProblem,
  WeatherReading,
  WeatherRequest,
  WeatherSource,
} from './source.ts';
import { stampReader } from './stamps.ts';
import { hourOfBin, judgeRow } from './station-hour.ts';
import { cellReader, findColumns, type ReadableColumn } from './station-rows.ts';
import { sunCheck } from './sun-check.ts';
import { type RowAt, rowsInTime } from './timed-rows.ts';
import { type StampClock, stampClock } from './zone-name.ts';

/** Weather from a station's export, read again at each request. */
export function csvSource(config: CsvConfig, context: WeatherContext): WeatherSource {
  const { file } = config;
  const zoneClock = stampClock(config.zone, context);
  const delimiter = config.delimiter === 'tab' ? '\t' : (config.delimiter ?? null);
  const table = fileReader(resolve(context.baseFolder, file), file, ({ text, modifiedMs }) => ({
    ...readTable(text, file, { delimiter, headerLine: config.header_line }),
    modifiedMs,
  }));
  return {
    kind: 'csv',
    read: async (request) => readStation(await table(), config, { request, zoneClock, context }),
  };
}

interface Reading {
  request: WeatherRequest;
  /** Calendar that the stamps are in. */
  zoneClock: StampClock;
  context: WeatherContext;
}

function readStation(
  table: CsvTable & { modifiedMs: number },
  config: CsvConfig,
  { request, zoneClock, context }: Reading,
): WeatherReading {
  const { clock } = context;
  const columns = findColumns(table, config.columns);
  const reader = stampReader(config.time, (column) => columnIndex(table, column));
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
    const startMs = grid.hourOf(config.stamps === 'hour_ending' ? stampMs - 1 : stampMs);
    return startMs >= grid.firstMs && startMs + HOUR_MS <= grid.endMs;
  });
  const timed = valuesOf(asked, { columns, config, rowsPerHour, problems });
  const bins = binByHour(timed, grid, config.stamps);
  const hours: RawHour[] = [];
  for (const bin of bins) {
    const soFar = isUnderWay(bin, { rowsPerHour, request, isLast: bin === bins.at(-1) });
    if (soFar) continue;
    const where = `${config.file}:${bin.rows[0]?.line ?? 0}`;
    if (bin.rows.length < rowsPerHour) {
      const what = `an hour has not all of its rows (got ${bin.rows.length} of ${rowsPerHour})`;
      problems.push({ where, what, done: 'means taken over the rows there are' });
    }
    const made = hourOfBin(bin, columns, rowsPerHour);
    problems.push(...made.problems.map((what) => ({ where, what, done: 'value left out' })));
    hours.push({
      startMs: bin.startMs,
      origin: bin.startMs < request.nowMs ? 'observed' : 'forecast',
      ...made.values,
      windHeightM: config.wind_height,
    });
  }
  problems.push(...sunCheck(hours, context, config.file));
  problems.push(...gapsOf(hours, grid, { config, clock, nowMs: request.nowMs }));
  return {
    source: `station export ${config.file}`,
    hours,
    asOfMs: inTime.youngestMs ?? table.modifiedMs,
    problems: drawTogether(problems),
  };
}

function valuesOf(
  rows: readonly RowAt[],
  {
    columns,
    config,
    rowsPerHour,
    problems,
  }: {
    columns: ReadonlyMap<StationField, ReadableColumn>;
    config: CsvConfig;
    rowsPerHour: number;
    problems: WeatherProblem[];
  },
): TimedRow[] {
  const readCell = cellReader(config.file, config);
  return rows.map(({ row, stampMs }) => {
    const values = new Map<StationField, number>();
    for (const [field, column] of columns) {
      const cell = readCell(row, column);
      if (cell.problem) problems.push(cell.problem);
      if (cell.value === null) continue;
      const judged = judgeRow(field, cell.value, { unit: column.unit, rowsPerHour });
      if (judged.value !== null) values.set(field, judged.value);
      if (judged.problem !== null) {
        const where = `${config.file}:${row.line}`;
        problems.push({ where, what: judged.problem, done: 'value left out' });
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
  { config, clock, nowMs }: { config: CsvConfig; clock: SiteClock; nowMs: number },
): WeatherProblem[] {
  const lastMs = hours.at(-1)?.startMs ?? grid.firstMs - HOUR_MS;
  const wanted = hoursOf(grid).filter(
    (startMs) => startMs <= lastMs || startMs + HOUR_MS <= nowMs - HOUR_MS,
  );
  const present = new Set(hours.map(({ startMs }) => startMs));
  return nameGaps(wanted, present, { where: config.file, clock });
}

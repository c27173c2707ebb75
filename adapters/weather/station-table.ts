import { solarDayStartMs, sunOfHour } from '../../calc/sky/sun-geometry.ts';
import type { HourOrigin, RawHour } from '../../calc/sky/weather-hour.ts';
import { timeSlice } from '../event-loop.ts';
import type { SiteClock } from '../site-clock.ts';
import { placeOf, type TableHead } from './csv-table.ts';
import {
  binByHour,
  HOUR_MS,
  type HourGrid,
  hourGrid,
  hoursOf,
  stepOf,
  type TimedRow,
} from './hour-grid.ts';
import type { StationField } from './measured-fields.ts';
import {
  nameGaps,
  type ProblemList,
  problemList,
  summarizeRepeats,
  type WeatherContext,
  type WeatherProblem,
  type WeatherReading,
  type WeatherRequest,
} from './source.ts';
import type { StampClock } from './stamp-format.ts';
import {
  cellReader,
  checkRowBounds,
  hourOfBin,
  type NumberFormat,
  type ReadableColumn,
} from './station-values.ts';
import { type RowAt, rowsInTime, type StampedTable, youngestOf } from './timed-rows.ts';

const REFUSED = { done: 'value left out', rule: 'range' } as const;

/** How a table's rows become hours. */
export interface StationTable {
  /** In words for the plan. */
  name: string;
  columns: ReadonlyMap<StationField, ReadableColumn>;
  stamps: 'hour_beginning' | 'hour_ending';
  windHeightM: number;
  format: NumberFormat;
  /** What its hours are; `by_time`: measured up to now and foretold from then on. */
  origin: 'by_time' | 'observed' | 'forecast';
  /** When the whole of it was written or fetched. */
  writtenMs: number;
}

/** What is asked, and where and by which calendar. */
interface StationRequest {
  request: WeatherRequest;
  /** Calendar that the stamps are in. */
  zoneClock: StampClock;
  context: WeatherContext;
}

/**
 * A table of a station, or of a forecast laid out like one, as hours: rows in time, judged value by
 * value, brought together by hour.
 */
export async function readStation(
  table: StampedTable,
  how: StationTable,
  asked: StationRequest,
): Promise<WeatherReading> {
  const made = await stationHours(table, how, asked);
  const youngestMs = youngestOf(table.stamped, asked.zoneClock, asked.request.nowMs);
  return stationReading(made, how, { ...asked, file: table.name, youngestMs });
}

/** The hours of a stretch, and what was wrong with its rows. */
export interface StationHours {
  hours: RawHour[];
  problems: WeatherProblem[];
}

/** Hours of a part of what was asked, from the rows that are near it. */
export async function stationHours(
  table: StampedTable,
  how: StationTable,
  { request, zoneClock, context }: StationRequest,
): Promise<StationHours> {
  const grid = hourGrid(request.fromMs, request.toMs);
  const inTime = await rowsInTime(table, { siteClock: context.clock, clock: zoneClock, grid });
  const problems = problemList(table.name);
  for (const problem of [...table.problems, ...inTime.problems]) problems.add(problem);
  const stepMs = stepOf(inTime.rows.map(({ stampMs }) => stampMs));
  const rowsPerHour = Math.max(1, Math.round(HOUR_MS / stepMs));
  const asked = inTime.rows.filter(({ stampMs }) => {
    const startMs = grid.hourOf(how.stamps === 'hour_ending' ? stampMs - 1 : stampMs);
    return startMs >= grid.firstMs && startMs + HOUR_MS <= grid.endMs;
  });
  const valuesOf = valueReader(table, how, { rowsPerHour, problems });
  const hours: RawHour[] = [];
  const breath = timeSlice();
  const bins = binByHour(asked, grid, how.stamps);
  for (const { startMs, rows } of bins) {
    if (breath.due()) await breath.rest();
    const soFar = isUnderWay(
      { startMs, rows: rows.length, isLast: startMs === bins.at(-1)?.startMs },
      { rowsPerHour, request },
    );
    const bin = { startMs, rows: rows.map(valuesOf) };
    if (soFar) continue;
    const where = placeOf(table, bin.rows[0]?.line ?? 0);
    if (rows.length < rowsPerHour) {
      const what = `an hour has not all of its rows (got ${rows.length} of ${rowsPerHour})`;
      problems.add({ where, what, done: 'means taken over the rows there are' });
    }
    const made = hourOfBin(bin, how.columns, () => rowsPerHour);
    for (const what of made.problems) problems.add({ where, what, ...REFUSED });
    hours.push({
      startMs,
      origin: originOf(startMs, how.origin, request),
      ...made.values,
      windHeightM: how.windHeightM,
    });
  }
  return { hours, problems: problems.all() };
}

/** The hours of all that was asked as a reading, held against the sun and looked through for gaps. */
export function stationReading(
  { hours, problems }: StationHours,
  how: StationTable,
  {
    request,
    context,
    file,
    youngestMs,
  }: StationRequest & { file: string; youngestMs: number | null },
): WeatherReading {
  const { clock } = context;
  const grid = hourGrid(request.fromMs, request.toMs);
  return {
    source: how.name,
    hours,
    asOfMs: youngestMs ?? how.writtenMs,
    writtenMs: how.writtenMs,
    problems: summarizeRepeats([
      ...problems,
      ...sunCheck(hours, context, file),
      ...gapsOf(hours, grid, { name: file, clock, nowMs: request.nowMs }),
    ]),
  };
}

function valueReader(
  head: TableHead,
  how: StationTable,
  { rowsPerHour, problems }: { rowsPerHour: number; problems: ProblemList },
) {
  const readCell = cellReader(head, how.format);
  return ({ row, stampMs }: RowAt): TimedRow => {
    const values = new Map<StationField, number>();
    for (const [field, column] of how.columns) {
      const cell = readCell(row, column);
      if (cell.problem) problems.add(cell.problem);
      if (cell.value === null) continue;
      const judged = checkRowBounds(field, cell.value, { unit: column.unit, rowsPerHour });
      if (judged.value !== null) values.set(field, judged.value);
      if (judged.problem !== null) {
        problems.add({ where: placeOf(head, row.line), what: judged.problem, ...REFUSED });
      }
    }
    return { stampMs, line: row.line, values };
  };
}

/** The newest hour, while rows for it are still to come, is nothing wrong: it waits. */
function isUnderWay(
  hour: { startMs: number; rows: number; isLast: boolean },
  { rowsPerHour, request }: { rowsPerHour: number; request: WeatherRequest },
): boolean {
  const { startMs, rows, isLast } = hour;
  const open = startMs <= request.nowMs && request.nowMs < startMs + HOUR_MS;
  return isLast && open && rows < rowsPerHour;
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

/** Share of the radiation above the atmosphere from which a day counts as clear. */
const CLEAR_FRACTION = 0.68;
/** Fewer could be a morning and an afternoon of cloud. */
const LEAST_CLEAR_DAYS = 3;
/** Cloud on one side of a clear day, and stamps in the middle of the hour, explain no more. */
const NOTABLE_H = 0.5;

interface SunSums {
  hours: number;
  measured: number;
  measuredMoment: number;
  above: number;
  aboveMoment: number;
}

/**
 * Whether the measured sun stands where the sky has it. A wrong zone, a clock that is changed in
 * summer, or ends taken for beginnings shift a whole file by an hour, and no single value shows
 * it; the middle of a clear day's radiation does.
 */
export function sunCheck(
  hours: readonly RawHour[],
  place: { latitudeDeg: number; longitudeDeg: number },
  where: string,
): WeatherProblem[] {
  const late = lateHours(hours, place);
  const medianH = late.toSorted((a, b) => a - b)[Math.floor(late.length / 2)];
  if (medianH === undefined || late.length < LEAST_CLEAR_DAYS) return [];
  if (Math.abs(medianH) < NOTABLE_H) return [];
  const side = medianH > 0 ? 'later' : 'earlier';
  const got = `${Math.round(Math.abs(medianH) * 60)} min ${side} on ${late.length} clear days`;
  return [
    {
      where,
      what: `the sun's radiation does not come when the sun stands there (got it ${got})`,
      done: 'used as it is; check zone and stamps in the config',
    },
  ];
}

/** By how many hours the middle of the radiation is late, for each clear day. */
function lateHours(
  hours: readonly RawHour[],
  { latitudeDeg, longitudeDeg }: { latitudeDeg: number; longitudeDeg: number },
): number[] {
  const days = new Map<number, SunSums>();
  for (const { startMs, solarMjPerM2 } of hours) {
    if (solarMjPerM2 === null) continue;
    const middleMs = startMs + HOUR_MS / 2;
    const dayMs = solarDayStartMs(middleMs, longitudeDeg);
    const above = sunOfHour({ startMs, latitudeDeg, longitudeDeg }).extraterrestrialMjPerM2;
    const sums = days.get(dayMs) ?? emptySums();
    const hour = (middleMs - dayMs) / HOUR_MS;
    sums.hours += 1;
    sums.measured += solarMjPerM2;
    sums.measuredMoment += solarMjPerM2 * hour;
    sums.above += above;
    sums.aboveMoment += above * hour;
    days.set(dayMs, sums);
  }
  return [...days.values()].flatMap((sums) => {
    const clear =
      sums.hours === 24 && sums.above > 0 && sums.measured > CLEAR_FRACTION * sums.above;
    if (!clear) return [];
    return [sums.measuredMoment / sums.measured - sums.aboveMoment / sums.above];
  });
}

function emptySums(): SunSums {
  return { hours: 0, measured: 0, measuredMoment: 0, above: 0, aboveMoment: 0 };
}

import { resolve } from 'node:path';
import { z } from 'zod';
import { outlookHours } from '../../calc/sky/outlook-hours.ts';
import type { HourOrigin, RawHour } from '../../calc/sky/weather-hour.ts';
import { timeSlice } from '../event-loop.ts';
import { quantity } from '../quantity.ts';
import type { SiteDay } from '../site-clock.ts';
import {
  columnIndex,
  readTable,
  type TableHead,
  type TableRow,
  tableOptions,
} from './csv-table.ts';
import {
  dayFigures,
  figuresOf,
  highAboveLow,
  type ToldDay,
  trustOptions,
  usualMonths,
} from './daily-figures.ts';
import { fileReader } from './file-text.ts';
import { HOUR_MS, hourGrid } from './hour-grid.ts';
import {
  checkBounds,
  columnUnit,
  type MeasuredField,
  type StationField,
  unitsOf,
} from './measured-fields.ts';
import {
  type ProblemList,
  problemList,
  summarizeRepeats,
  type WeatherContext,
  type WeatherProblem,
  type WeatherRequest,
  type WeatherSource,
} from './source.ts';
import { dayReader } from './stamp-format.ts';
import { cellReader, type ReadableColumn } from './station-values.ts';

const dayText = z.string().refine((text) => dayReader('YYYY-MM-DD')?.(text) != null, {
  error: (issue) => `is no day (got ${issue.input}); write YYYY-MM-DD`,
});

const dayRow = z
  .strictObject({
    day: dayText,
    ...dayFigures,
    /** Chance that the rain comes at all. */
    rain_chance: quantity('fraction', { min: 0, max: 1 }).optional(),
  })
  .refine(highAboveLow.when, { error: highAboveLow.error });

/** A column of daily figures: amounts are sums over the day, levels are means or extremes. */
function dailyColumn(field: StationField) {
  return z.strictObject({
    column: z.string().min(1),
    unit: z.string().refine((unit) => isDaily(field, unit), {
      error: (issue) =>
        `has a unit that does not fit a day (got ${issue.input}); use one of ${unitsOf(field)}`,
    }),
  });
}

function isDaily(field: StationField, spelling: string): boolean {
  const unit = columnUnit(field, spelling);
  return unit !== null && (field !== 'rain' || unit.kind === 'sum');
}

const dailyFile = z.strictObject({
  file: z.string().min(1),
  day: z.strictObject({
    column: z.string().min(1),
    pattern: z
      .string()
      .refine((text) => dayReader(text) !== null, {
        error: (issue) => `does not fix the day (got ${issue.input}); name YYYY, MM and DD once`,
      })
      .default('YYYY-MM-DD'),
  }),
  columns: z.strictObject({
    high: dailyColumn('air_temp'),
    low: dailyColumn('air_temp'),
    wind: dailyColumn('wind').optional(),
    rain: dailyColumn('rain').optional(),
    dew_point: dailyColumn('dew_point').optional(),
    solar: dailyColumn('solar').optional(),
  }),
  ...tableOptions,
});

/** Daily figures, typed or in a file, and the usual day of a month where neither speaks. */
export const outlookConfigSchema = z
  .strictObject({
    source: z.literal('outlook'),
    /** Height at which the wind is told; public forecasts speak of 10 m. */
    wind_height: quantity('length', { min: 0.5, max: 100 }),
    days: z.array(dayRow).default([]),
    daily_file: dailyFile.optional(),
    usual: usualMonths.default([]),
    ...trustOptions,
  })
  .refine(({ days, daily_file, usual }) => days.length > 0 || daily_file || usual.length > 0, {
    error: 'tells of no day (got neither days, daily_file nor usual); give one of them',
  })
  .refine(({ days }) => new Set(days.map(({ day }) => day)).size === days.length, {
    path: ['days'],
    error: 'tells of one day twice; keep one',
  });

type OutlookConfig = z.infer<typeof outlookConfigSchema>;
type DailyFileConfig = z.infer<typeof dailyFile>;

/** Stands in for a wind that nobody told while the day is shaped; it is taken out again. */
const ANY_WIND_M_PER_S = 2;
/** Some fifty years of days. */
const MOST_BYTES = 2_000_000;

/**
 * Daily figures as hours. A typed day outweighs the file's, the file's outweighs the usual day of
 * the month; a day that none of them tells gives no hours. Only a day that is wholly past counts
 * as observed: until its end its figures are foretold.
 */
export function outlookSource(config: OutlookConfig, context: WeatherContext): WeatherSource {
  const typed = new Map<SiteDay, ToldDay>();
  for (const row of config.days) {
    const day = row.day as SiteDay;
    const chance = row.rain_chance;
    typed.set(day, {
      day,
      where: `outlook ${day}`,
      ...figuresOf(row),
      ...(chance === undefined ? {} : { rainChanceFraction: chance }),
    });
  }
  const daily = config.daily_file;
  const file =
    daily &&
    fileReader({
      path: resolve(context.baseFolder, daily.file),
      name: daily.file,
      mostBytes: MOST_BYTES,
      make: async ({ text, modifiedMs }) => ({ ...(await readDaily(text, daily)), modifiedMs }),
    });
  return {
    kind: 'outlook',
    read: async (request) => {
      const reading = file ? await file() : null;
      const told: (DailyFile & { modifiedMs: number }) | null = reading?.made ?? null;
      const problems: WeatherProblem[] = [...(reading?.problems ?? []), ...(told?.problems ?? [])];
      const hours = daysOf(request, context).flatMap((day) => {
        const own = typed.get(day) ?? told?.days.get(day);
        const figures = own ?? usualDay(config, day);
        if (!figures) return [];
        const origin = own ? originOf(day, request, context) : 'usual';
        return hoursOfDay(figures, { origin, config, context, problems });
      });
      return {
        source: daily ? `daily outlook ${daily.file}` : 'daily outlook typed in the config',
        hours: onGrid(hours, request),
        asOfMs: told?.modifiedMs ?? null,
        problems: summarizeRepeats(problems),
      };
    },
  };
}

/** Every site day that the request touches. */
function daysOf({ fromMs, toMs }: WeatherRequest, { clock }: WeatherContext): SiteDay[] {
  const days: SiteDay[] = [];
  if (toMs <= fromMs) return days;
  const last = clock.siteDayOf(toMs - 1);
  for (let day = clock.siteDayOf(fromMs); day <= last; day = clock.addDays(day, 1)) days.push(day);
  return days;
}

function usualDay(config: OutlookConfig, day: SiteDay): ToldDay | null {
  const usual = config.usual.find(({ month }) => month === Number(day.slice(5, 7)));
  return usual ? { day, where: `usual of month ${usual.month}`, ...figuresOf(usual) } : null;
}

function originOf(day: SiteDay, { nowMs }: WeatherRequest, { clock }: WeatherContext): HourOrigin {
  return clock.startOf(clock.addDays(day, 1)) <= nowMs ? 'observed' : 'forecast';
}

function hoursOfDay(
  told: ToldDay,
  {
    origin,
    config,
    context,
    problems,
  }: {
    origin: HourOrigin;
    config: OutlookConfig;
    context: WeatherContext;
    problems: WeatherProblem[];
  },
): RawHour[] {
  const { day, where, rainChanceFraction: _chance, ...figures } = told;
  const { clock } = context;
  const { latitudeDeg, longitudeDeg, elevationM } = context;
  try {
    const hours = outlookHours({
      ...figures,
      windMPerS: figures.windMPerS ?? ANY_WIND_M_PER_S,
      rainMm: figures.rainMm ?? 0,
      dayStartMs: clock.startOf(day),
      dayEndMs: clock.startOf(clock.addDays(day, 1)),
      origin,
      windHeightM: config.wind_height,
      place: { latitudeDeg, longitudeDeg, elevationM },
    });
    return hours.map((hour) => withoutGuesses(hour, told));
  } catch (error) {
    if (!(error instanceof RangeError)) throw error;
    const what = `${day} cannot be shaped: ${error.message}`;
    // The sun's sum can be more than that day's sky sends: the rest of the day still holds.
    const again = told.solarMjPerM2 !== null;
    problems.push({ where, what, done: again ? 'its solar radiation left out' : 'left out' });
    if (!again) return [];
    return hoursOfDay({ ...told, solarMjPerM2: null }, { origin, config, context, problems });
  }
}

/**
 * What nobody told stays null, so that the procedure that fills it is named beside the hour. A
 * cloud cover that was told is worked into the radiation and so counts as told.
 */
function withoutGuesses(hour: RawHour, told: ToldDay): RawHour {
  return {
    ...hour,
    windMPerS: told.windMPerS === null ? null : hour.windMPerS,
    rainMm: told.rainMm === null ? null : hour.rainMm,
    ...(told.rainChanceFraction === undefined
      ? {}
      : { rainChanceFraction: told.rainChanceFraction }),
    dewPointC: told.dewPointC === null ? null : hour.dewPointC,
    solarMjPerM2:
      told.solarMjPerM2 === null && told.cloudFraction === null ? null : hour.solarMjPerM2,
  };
}

/** Days begin at the site's midnight, which need not be on the asker's grid. */
function onGrid(hours: readonly RawHour[], { fromMs, toMs }: WeatherRequest): RawHour[] {
  const { hourOf } = hourGrid(fromMs, toMs);
  return hours
    .map((hour) => ({ ...hour, startMs: hourOf(hour.startMs) }))
    .filter(({ startMs }) => startMs >= fromMs && startMs + HOUR_MS <= toMs);
}

/** What a daily file tells: each day once. */
interface DailyFile {
  days: Map<SiteDay, ToldDay>;
  problems: WeatherProblem[];
}

/** W/m² as the mean of a day, as MJ/m² in the day. */
const MJ_PER_M2_IN_W_DAY = 0.0864;
const MOST_RAIN_MM = 2000;
/** Above any day's sum at the outer edge of the air. */
const MOST_SOLAR_MJ_PER_M2 = 45;

type Name = keyof DailyFileConfig['columns'];

const FIELD: Record<Name, { station: StationField; measured: MeasuredField }> = {
  high: { station: 'air_temp', measured: 'airTempC' },
  low: { station: 'air_temp', measured: 'airTempC' },
  wind: { station: 'wind', measured: 'windMPerS' },
  rain: { station: 'rain', measured: 'rainMm' },
  dew_point: { station: 'dew_point', measured: 'dewPointC' },
  solar: { station: 'solar', measured: 'solarMjPerM2' },
};

/** Reads the file; a day without a high and a low above it is left out and named. */
async function readDaily(text: string, config: DailyFileConfig): Promise<DailyFile> {
  const delimiter = config.delimiter === 'tab' ? '\t' : (config.delimiter ?? null);
  const layout = { delimiter, headerLine: config.header_line };
  const table = await readTable(text, config.file, layout);
  const dayIndex = columnIndex(table, config.day.column);
  const readDay = dayReader(config.day.pattern);
  const problems = problemList(config.file);
  for (const problem of table.problems) problems.add(problem);
  const figure = figureReader(config, { table, problems });
  const breath = timeSlice();
  const days = new Map<SiteDay, ToldDay>();
  for (const row of table.rows) {
    if (breath.due()) await breath.rest();
    const where = `${config.file}:${row.line}`;
    const written = row.cells[dayIndex] ?? '';
    const day = readDay?.(written) ?? null;
    if (day === null) {
      const what = `the day cannot be read (got ${written.slice(0, 40)})`;
      problems.add({ where, what, done: 'left out' });
      continue;
    }
    const highC = figure('high', row);
    const lowC = figure('low', row);
    if (highC === null || lowC === null || highC < lowC) {
      const what = `the day has no high above its low (got ${shown(highC)} and ${shown(lowC)})`;
      problems.add({ where, what, done: 'left out' });
      continue;
    }
    const before = days.get(day);
    if (before) {
      const what = `the day comes again on line ${row.line} (got ${day} twice)`;
      problems.add({ where: before.where, what, done: 'left out, the later line kept' });
    }
    days.set(day, {
      day,
      where,
      highC,
      lowC,
      windMPerS: figure('wind', row),
      rainMm: figure('rain', row),
      dewPointC: figure('dew_point', row),
      solarMjPerM2: figure('solar', row),
      cloudFraction: null,
    });
  }
  return { days, problems: problems.all() };
}

/** A reader of one figure of a row; null where it is missing or cannot be, which is then named. */
function figureReader(
  config: DailyFileConfig,
  { table, problems }: { table: TableHead; problems: ProblemList },
) {
  const readCell = cellReader(table, config);
  const columns = new Map<Name, ReadableColumn>();
  for (const [name, stated] of Object.entries(config.columns)) {
    const unit = stated && columnUnit(FIELD[name as Name].station, stated.unit);
    if (!stated || !unit) continue;
    columns.set(name as Name, {
      column: stated.column,
      index: columnIndex(table, stated.column),
      unit,
    });
  }
  return (name: Name, row: TableRow): number | null => {
    const column = columns.get(name);
    if (!column) return null;
    // Files typed by hand often end without a line end, so a last value is not distrusted here.
    const cell = readCell({ ...row, openEnded: false }, column);
    if (cell.problem) problems.add(cell.problem);
    if (cell.value === null) return null;
    const perDay = name === 'solar' && column.unit.kind === 'mean' ? MJ_PER_M2_IN_W_DAY : 1;
    const judged = judgeDay(name, cell.value * perDay);
    if (judged.problem !== null) {
      const where = `${config.file}:${row.line}`;
      problems.add({ where, what: judged.problem, done: 'value left out' });
    }
    return judged.value;
  };
}

function shown(tempC: number | null): string {
  return tempC === null ? 'none' : `${tempC.toFixed(1)} °C`;
}

function judgeDay(name: Name, value: number) {
  if (name !== 'rain' && name !== 'solar') return checkBounds(FIELD[name].measured, value);
  const most = name === 'rain' ? MOST_RAIN_MM : MOST_SOLAR_MJ_PER_M2;
  if (value >= 0 && value <= most) return { value, problem: null };
  const unit = name === 'rain' ? 'mm' : 'MJ/m²';
  const got = Number(value.toPrecision(4));
  return { value: null, problem: `${name} cannot be (got ${got} ${unit} in a day)` };
}

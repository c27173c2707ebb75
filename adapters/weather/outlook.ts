import { resolve } from 'node:path';
import { outlookHours } from '../../calc/sky/outlook-hours.ts';
import type { HourOrigin, RawHour } from '../../calc/sky/weather-hour.ts';
import type { SiteDay } from '../site-clock.ts';
import { figuresOf, type ToldDay } from './daily-figures.ts';
import { type DailyFile, readDaily } from './daily-file.ts';
import { fileReader } from './file-text.ts';
import { HOUR_MS, hourGrid } from './hour-grid.ts';
import type { OutlookConfig } from './outlook-config.ts';
import { drawTogether } from './problems.ts';
import type { WeatherContext, WeatherProblem, WeatherRequest, WeatherSource } from './source.ts';

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
    typed.set(day, { day, where: `outlook ${day}`, ...figuresOf(row) });
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
        problems: drawTogether(problems),
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
  const { day, where, ...figures } = told;
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

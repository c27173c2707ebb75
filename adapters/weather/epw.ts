import { resolve } from 'node:path';
import { z } from 'zod';
import type { RawHour } from '../../calc/sky/weather-hour.ts';
import { type EpwFile, type EpwHour, epwKey, readEpw } from './epw-file.ts';
import { fileReader } from './file-text.ts';
import { hourGrid, hoursOf } from './hour-grid.ts';
import { drawTogether, nameGaps } from './problems.ts';
import type { WeatherContext, WeatherProblem, WeatherRequest, WeatherSource } from './source.ts';

/** A typical year in the open EnergyPlus weather format. */
export const epwConfigSchema = z.strictObject({
  source: z.literal('epw'),
  file: z.string().min(1),
});

export type EpwConfig = z.infer<typeof epwConfigSchema>;

/** The format gives wind at 10 m. */
const WIND_HEIGHT_M = 10;
const FAR_AWAY_DEG = 1;
/** A year of hours is two to four megabytes. */
const MOST_BYTES = 16_000_000;

/**
 * A typical year laid over the dates asked for, whatever their year. It foretells nothing: it is
 * for trying a program before seeding, and for want of anything better.
 */
export function epwSource({ file: name }: EpwConfig, context: WeatherContext): WeatherSource {
  const file = fileReader({
    path: resolve(context.baseFolder, name),
    name,
    mostBytes: MOST_BYTES,
    make: ({ text }) => readEpw(text, name),
  });
  return {
    kind: 'epw',
    read: async (request) => {
      const { made: epw, problems: fallen } = await file();
      const { hours, missing } = layOver(epw, request, context);
      const problems = [
        ...fallen,
        ...epw.problems,
        ...farAway(epw, name, context),
        ...missing(name),
      ];
      return {
        source: `typical year, not a forecast: ${epw.place} (${name})`,
        hours,
        asOfMs: null,
        problems: drawTogether(problems),
      };
    },
  };
}

function layOver(epw: EpwFile, request: WeatherRequest, { clock }: WeatherContext) {
  const wanted = hoursOf(hourGrid(request.fromMs, request.toMs));
  const hours = wanted.flatMap((startMs): RawHour[] => {
    const found = hourAt(epw, startMs);
    if (!found) return [];
    const { line: _line, rainImpossible: _rain, ...values } = found;
    const origin = startMs < request.nowMs ? 'observed' : 'forecast';
    return [{ startMs, origin, ...values, windHeightM: WIND_HEIGHT_M }];
  });
  const present = new Set(hours.map(({ startMs }) => startMs));
  return {
    hours,
    missing: (where: string): WeatherProblem[] => nameGaps(wanted, present, { where, clock }),
  };
}

/** The file's hour in its own standard time; a 29 February that it lacks is as the 28th. */
function hourAt(epw: EpwFile, startMs: number): EpwHour | undefined {
  const standard = new Date(startMs + epw.offsetMs);
  const month = standard.getUTCMonth() + 1;
  const day = standard.getUTCDate();
  const hour = standard.getUTCHours();
  const found = epw.hours.get(epwKey(month, day, hour));
  if (found || month !== 2 || day !== 29) return found;
  return epw.hours.get(epwKey(2, 28, hour));
}

function farAway(epw: EpwFile, where: string, site: WeatherContext): WeatherProblem[] {
  const eastDeg = Math.abs(epw.longitudeDeg - site.longitudeDeg);
  const awayDeg = Math.max(
    Math.abs(epw.latitudeDeg - site.latitudeDeg),
    Math.min(eastDeg, 360 - eastDeg),
  );
  if (awayDeg <= FAR_AWAY_DEG) return [];
  const got = `${epw.place} at ${epw.latitudeDeg}, ${epw.longitudeDeg}`;
  const what = `the typical year is of a place ${awayDeg.toFixed(1)}° from the site (got ${got})`;
  return [{ where: `${where}:1`, what, done: 'used as it is' }];
}

import { dewPointC } from '../sky/air.ts';
import { solarDayStartMs } from '../sky/sun-geometry.ts';
import type { SitePlace, WeatherHour } from '../sky/weather-hour.ts';
import { shrunkSize } from './error-record.ts';
import { DAY_TO_DAY, type ErrorSize, mapSize } from './forecast-errors.ts';

const DAY_MS = 24 * 3_600_000;
/** A day of fewer measured hours says nothing of its mean. */
const LEAST_HOURS = 20;
const CALM_M_PER_S = 0.3;
const DRIEST_KPA = 0.002;

/** Means of a measured day. */
interface DayMeans {
  airTempC: number;
  dewPointC: number;
  windMPerS: number;
  solarMjPerM2: number;
}

/**
 * How far a day is from the one before at this site: what is wrong where an earlier day stands in for
 * a forecast. From measured days that follow each other, shrunk to the usual size by the rule of
 * `shrunkSize`; with none it is the usual size.
 *
 * @param hours Earlier hours of the site; only observed ones count.
 */
export function spreadOfDays(hours: readonly WeatherHour[], place: SitePlace): ErrorSize {
  const days = new Map<number, WeatherHour[]>();
  for (const hour of hours) {
    if (hour.origin !== 'observed') continue;
    const dayMs = solarDayStartMs(hour.startMs, place.longitudeDeg);
    const day = days.get(dayMs);
    if (day === undefined) days.set(dayMs, [hour]);
    else day.push(hour);
  }
  const meansOf = (dayMs: number): DayMeans | null => {
    const day = days.get(dayMs) ?? [];
    return day.length >= LEAST_HOURS ? dayMeans(day) : null;
  };
  const steps = [...days.keys()].flatMap((dayMs): ErrorSize[] => {
    const before = meansOf(dayMs - DAY_MS);
    const day = meansOf(dayMs);
    if (before === null || day === null) return [];
    return [
      {
        airTempK: day.airTempC - before.airTempC,
        dewPointK: day.dewPointC - before.dewPointC,
        windLog: Math.log(day.windMPerS / before.windMPerS),
        // Up and down alike: the part of the mean of both.
        sunFraction:
          (2 * (day.solarMjPerM2 - before.solarMjPerM2)) /
          Math.max(1e-3, day.solarMjPerM2 + before.solarMjPerM2),
      },
    ];
  });
  return mapSize((field) =>
    shrunkSize(
      steps.map((step) => step[field]),
      DAY_TO_DAY[field],
    ),
  );
}

function dayMeans(day: readonly WeatherHour[]): DayMeans {
  const mean = (of: (hour: WeatherHour) => number) =>
    day.reduce((sum, hour) => sum + of(hour), 0) / day.length;
  return {
    airTempC: mean((hour) => hour.airTempC),
    dewPointC: mean((hour) => dewPointC(Math.max(DRIEST_KPA, hour.vapourPressureKPa))),
    windMPerS: Math.max(
      CALM_M_PER_S,
      mean((hour) => hour.windMPerS),
    ),
    solarMjPerM2: mean((hour) => hour.solarMjPerM2),
  };
}

import { solarDayStartMs, sunOfHour } from '../../calc/sky/sun-hour.ts';
import type { RawHour } from '../../calc/sky/weather-hour.ts';
import { HOUR_MS } from './hour-grid.ts';
import type { WeatherProblem } from './source.ts';

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

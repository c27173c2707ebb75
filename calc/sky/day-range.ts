import { solarDayStartMs } from './sun-hour.ts';

const HOUR_MS = 3_600_000;
const DAY_MS = 24 * HOUR_MS;

/** Highest and lowest temperature of a day, °C. */
export interface DayRange {
  highC: number;
  lowC: number;
  /** Hours that it was read from. */
  hours: number;
}

/**
 * For each hour, the temperature range of the day around it: its mean solar day when that day is
 * complete, otherwise the nearest 24 hours of the series, so that a series that begins at noon does
 * not take its afternoon for a day.
 *
 * Inputs: hours in order of time with their temperature; longitude, degrees east.
 */
export function dayRanges(
  hours: { startMs: number; airTempC: number }[],
  longitudeDeg: number,
): DayRange[] {
  const rangeBetween = (fromMs: number, toMs: number, near: number): DayRange => {
    const range: DayRange = { highC: -Infinity, lowC: Infinity, hours: 0 };
    for (let index = Math.max(0, near - 24); index <= near + 24; index += 1) {
      const hour = hours[index];
      if (hour === undefined || hour.startMs < fromMs || hour.startMs >= toMs) continue;
      range.highC = Math.max(range.highC, hour.airTempC);
      range.lowC = Math.min(range.lowC, hour.airTempC);
      range.hours += 1;
    }
    return range;
  };
  const seriesStartMs = hours[0]?.startMs ?? 0;
  const seriesEndMs = (hours.at(-1)?.startMs ?? 0) + HOUR_MS;

  return hours.map(({ startMs }, index) => {
    const middleMs = startMs + HOUR_MS / 2;
    const dayMs = solarDayStartMs(middleMs, longitudeDeg);
    // The day's hours are those whose middle lies in it.
    const solarDay = rangeBetween(dayMs - HOUR_MS / 2, dayMs + DAY_MS - HOUR_MS / 2, index);
    if (solarDay.hours >= 24) return solarDay;
    const latestMs = Math.max(seriesStartMs, seriesEndMs - DAY_MS);
    const fromMs = Math.min(latestMs, Math.max(seriesStartMs, startMs - DAY_MS / 2));
    return rangeBetween(fromMs, fromMs + DAY_MS, index);
  });
}

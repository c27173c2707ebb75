import { saturationKPa } from '../sky/air.ts';
import type { WeatherHour } from '../sky/weather-hour.ts';

/** Every notice that the weather or the water of a bed can raise. */
export const NOTICE_CODES = [
  'heat',
  'frost',
  'wind',
  'heavy_rain',
  'pythium_14_hours',
  'pythium_9_hours',
  'damping_off',
  'irrigation_salinity',
  'reclaimed_water',
  'too_little_water',
  'too_much_water',
] as const;

export type NoticeCode = (typeof NOTICE_CODES)[number];

export type NoticeSeverity = 'note' | 'warn' | 'danger';

/** Something to know about a bed's weather or water: what it is, and the numbers that its rule saw. */
export interface Notice {
  code: NoticeCode;
  severity: NoticeSeverity;
  /** What the rule saw and was held against; names carry their unit. */
  inputs: Record<string, number | string>;
  /** Limits of the rule that are no part of what it saw; names carry their unit. */
  limits: Record<string, number>;
  fromMs: number;
  toMs: number;
}

export const HOUR_MS = 3_600_000;

/** First instant of the first hour and last of the last; hours must not be empty. */
export function spanOf(hours: readonly WeatherHour[]): { fromMs: number; toMs: number } {
  const starts = hours.map((hour) => hour.startMs);
  return { fromMs: Math.min(...starts), toMs: Math.max(...starts) + HOUR_MS };
}

/** Stretches of hours without a break in which something holds, in order of time. */
export function spellsOf(
  hours: readonly WeatherHour[],
  holds: (hour: WeatherHour) => boolean,
): WeatherHour[][] {
  const spells: WeatherHour[][] = [];
  let open: WeatherHour[] = [];
  for (const hour of hours) {
    const last = open.at(-1);
    const goesOn = last !== undefined && hour.startMs - last.startMs === HOUR_MS;
    if (!holds(hour) || !goesOn) {
      if (open.length > 0) spells.push(open);
      open = [];
    }
    if (holds(hour)) open.push(hour);
  }
  if (open.length > 0) spells.push(open);
  return spells;
}

/** Relative humidity of an hour, 0 to 100 %. */
export function relativeHumidityPct(hour: WeatherHour): number {
  return Math.min(100, (100 * hour.vapourPressureKPa) / saturationKPa(hour.airTempC));
}

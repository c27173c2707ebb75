import { sunTimes } from '../sky/sun-times.ts';
import type { WaterWindow } from './due-window.ts';
import type { Site } from './site.ts';

const HOUR_MS = 3_600_000;

/** The hours of sun and water of a site day. */
export interface DayFrame {
  sunriseMs: number | null;
  sunsetMs: number | null;
  window: WaterWindow;
  /** Weather is needed up to here. */
  horizonEndMs: number;
}

/** Sunrise, sunset, and the bounds within which water may run. */
export function dayFrame(input: {
  site: Site;
  dayStartMs: number;
  nextDayStartMs: number;
  afterNextDayStartMs: number;
}): DayFrame {
  const { latitudeDeg, longitudeDeg, limits } = input.site;
  const today = daylightOf(input.dayStartMs, latitudeDeg, longitudeDeg);
  const tomorrow = daylightOf(input.nextDayStartMs, latitudeDeg, longitudeDeg);
  const firstStartMs = today.startMs + limits.firstAfterSunriseMin * 60_000;
  const lastEndMs = today.endMs - limits.lastBeforeSunsetMin * 60_000;
  const nextFirstStartMs = tomorrow.startMs + limits.firstAfterSunriseMin * 60_000;
  return {
    sunriseMs: today.sunriseMs,
    sunsetMs: today.sunsetMs,
    window: {
      firstStartMs: Math.max(firstStartMs, input.dayStartMs),
      lastEndMs: Math.min(lastEndMs, input.nextDayStartMs),
      nextFirstStartMs,
      sunriseMs: today.startMs,
      sunsetMs: today.endMs,
    },
    horizonEndMs: Math.ceil((nextFirstStartMs + HOUR_MS) / HOUR_MS) * HOUR_MS,
  };
}

/**
 * Daylight of a site day. Where the sun does not set it is twelve hours on both sides of noon, and
 * where it does not rise none: what the last sunset and the last sunrise come to.
 */
function daylightOf(dayStartMs: number, latitudeDeg: number, longitudeDeg: number) {
  const { sunriseMs, noonMs, sunsetMs, always } = sunTimes({
    dayStartMs,
    latitudeDeg,
    longitudeDeg,
  });
  const halfDayMs = always === 'day' ? 12 * HOUR_MS : 0;
  return {
    sunriseMs,
    sunsetMs,
    startMs: sunriseMs ?? noonMs - halfDayMs,
    endMs: sunsetMs ?? noonMs + halfDayMs,
  };
}

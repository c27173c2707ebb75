import { spellsOf } from '../growth/notice.ts';
import type { StageName } from '../growth/stages.ts';
import { sunTimes } from '../sky/sun-times.ts';
import type { WeatherHour } from '../sky/weather-hour.ts';
import type { WaterWindow } from './due-window.ts';
import type { KeepOff, Site } from './site.ts';

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

/** Which exceptions to "no water at night" a site takes. */
export interface NightWater {
  /** Beds that a wind above the limit, all night, would empty before the morning. */
  dryWind: boolean;
  /** Beds in the first night after seeding. */
  firstNight: boolean;
  /** When beds with roots may be refilled deeply in the site day; null: not at all. */
  deepRefill: { startMs: number; endMs: number } | null;
}

/** The exception that a cycle at night stands for. */
export type NightException = 'dry_wind' | 'first_night' | 'deep_refill';

/** Stages whose roots reach what a deep refill wets. */
const DEEP_STAGES: readonly StageName[] = ['first_mow', 'knitting'];

/**
 * A part of the night within one site day: from midnight to the first start, or from sunset to
 * midnight. A plan ends with its site day, so that the night is shared by two plans.
 */
export interface NightPart {
  startMs: number;
  endMs: number;
  /** The first start that ends the night: what is given must last until then. */
  untilMs: number;
}

/** The two parts of the night that lie in a site day, as far as they are still to come. */
export function nightParts(day: {
  firstRunMs: number;
  sunsetMs: number | null;
  nextDayStartMs: number;
  window: { firstStartMs: number; lastEndMs: number; nextFirstStartMs: number };
}): { early: NightPart; late: NightPart } {
  const { firstRunMs, sunsetMs, nextDayStartMs, window } = day;
  return {
    early: { startMs: firstRunMs, endMs: window.firstStartMs, untilMs: window.firstStartMs },
    late: {
      startMs: Math.max(firstRunMs, window.lastEndMs, sunsetMs ?? window.lastEndMs),
      endMs: nextDayStartMs,
      untilMs: window.nextFirstStartMs,
    },
  };
}

/** Whether the wind is above the limit in every hour of a part, and there is an hour at all. */
export function isWindyAllNight(
  part: NightPart,
  isWindyAt: (instantMs: number) => boolean,
): boolean {
  if (part.startMs >= part.untilMs) return false;
  for (let atMs = part.startMs; atMs < part.untilMs; atMs += HOUR_MS) {
    if (!isWindyAt(atMs)) return false;
  }
  return isWindyAt(part.untilMs - 1);
}

/** Whether a bed may be refilled deeply. */
export function takesDeepRefill(stage: StageName): boolean {
  return DEEP_STAGES.includes(stage);
}

/** Whether a part of the night belongs to the first night after seeding on a site day. */
export function isFirstNight(
  seededOn: string | null,
  siteDay: string,
  part: 'early' | 'late',
): boolean {
  if (seededOn === null) return false;
  if (part === 'late') return seededOn === siteDay;
  return Date.parse(siteDay) - Date.parse(seededOn) === 24 * HOUR_MS;
}

/** Air temperature at and below which no water goes on, unless a site says another (common practice: 2 to 3). */
export const NO_WATER_BELOW_C = 2;

/**
 * Hours of frost as keep-offs of every bed: no cycle may start or run while the air is at or below
 * the limit.
 *
 * The whole spell counts and not only its falling half: turf that has frozen is not watered before
 * it has thawed.
 *
 * @param asked hours in order of time; beds; limit, °C.
 * Source: common practice, no irrigation at or below 2 to 3 °C and falling.
 */
export function frostKeepOffs(asked: {
  hours: readonly WeatherHour[];
  bedIds: readonly string[];
  limitC: number;
}): KeepOff[] {
  const { hours, bedIds, limitC } = asked;
  return spellsOf(hours, (hour) => hour.airTempC <= limitC).flatMap((spell) => {
    const startMs = spell[0]?.startMs ?? 0;
    const endMs = (spell.at(-1)?.startMs ?? startMs) + HOUR_MS;
    return bedIds.map((bedId) => ({ bedId, startMs, endMs, why: '', kind: 'frost' }));
  });
}

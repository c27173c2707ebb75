import { saturationKPa } from './air.ts';
import { clearSkyMjPerM2 } from './clear-sky.ts';
import { type DayRange, dayRanges } from './day-range.ts';
import {
  BRIDGE_H,
  hoursWithTemperature,
  type TemperedHour,
  type WeatherGap,
} from './hour-slots.ts';
import { vapourPressureOfDewPointKPa, vapourPressureOfHumidityKPa } from './humidity.ts';
import { type Setting, transmissionFromRangeFraction } from './solar-estimates.ts';
import { sunOfHour } from './sun-hour.ts';
import type {
  FilledValue,
  FillMethod,
  RawHour,
  SitePlace,
  WeatherField,
  WeatherHour,
} from './weather-hour.ts';
import { windAt2mMPerS } from './wind-profile.ts';

const HOUR_MS = 3_600_000;
/** Mean of over 2000 stations (FAO-56, p. 63). */
export const USUAL_WIND_M_PER_S = 2;

/** What to fill, and where. */
export interface MissingWeatherInput {
  /** In order of time, whole hours apart, each once; hours may be missing between. */
  hours: RawHour[];
  place: SitePlace;
  /** Land or shore, for the radiation from the temperature range. Default: interior. */
  setting?: Setting;
}

/** Complete hours, and the stretches that nothing could fill. */
export interface MissingWeatherResult {
  hours: WeatherHour[];
  gaps: WeatherGap[];
}

/** Value of a field between its neighbours no more than a bridge apart, or null. */
function bridged(values: (number | null)[], startsMs: number[], index: number): number | null {
  const nearest = (step: -1 | 1): { atMs: number; value: number } | null => {
    for (let at = index + step; Math.abs(at - index) <= BRIDGE_H; at += step) {
      const value = values[at];
      const atMs = startsMs[at];
      if (value !== null && value !== undefined && atMs !== undefined) return { atMs, value };
    }
    return null;
  };
  const before = nearest(-1);
  const after = nearest(1);
  const atMs = startsMs[index];
  if (before === null || after === null || atMs === undefined) return null;
  if (after.atMs - before.atMs > (BRIDGE_H + 1) * HOUR_MS) return null;
  const share = (atMs - before.atMs) / (after.atMs - before.atMs);
  return before.value * (1 - share) + after.value * share;
}

function measuredVapourKPa({ raw, airTempC }: TemperedHour): number | null {
  if (raw.dewPointC !== null) return vapourPressureOfDewPointKPa(raw.dewPointC);
  if (raw.relativeHumidityPct === null) return null;
  return vapourPressureOfHumidityKPa({ airTempC, relativeHumidityPct: raw.relativeHumidityPct });
}

function notNegative(field: string, value: number | null, startMs: number): number | null {
  if (value === null || (Number.isFinite(value) && value >= 0)) return value;
  throw new RangeError(
    `filledWeather: ${field} of ${new Date(startMs).toISOString()} is impossible (got ${value}); give 0 or more, or null when it is not known`,
  );
}

function estimatedSolarMjPerM2({
  startMs,
  place,
  range,
  setting,
}: {
  startMs: number;
  place: SitePlace;
  range: DayRange;
  setting: Setting;
}): number {
  const sun = sunOfHour({ ...place, startMs });
  const clear = clearSkyMjPerM2({ ...sun, elevationM: place.elevationM });
  const transmission = transmissionFromRangeFraction({ ...range, setting });
  return Math.min(clear, transmission * sun.extraterrestrialMjPerM2);
}

/**
 * Complete hours from whatever a source gave, each filled value named in `filled` with how, and the
 * gaps that nothing could fill (no temperature for more than 3 h, or at an end of the series).
 *
 * - temperature, wind and vapour pressure silent for up to 3 h: on a line between the neighbours;
 * - vapour pressure otherwise: saturation at the day's lowest temperature (FAO-56, Eq. 48), which
 *   runs high in arid places;
 * - solar radiation: the Hargreaves share of each hour's radiation above the atmosphere (FAO-56,
 *   Eq. 50), never above a clear sky's;
 * - wind otherwise: 2 m/s (FAO-56, p. 63); rain: none.
 *
 * A vapour pressure above saturation (a sensor's error) comes down to it and is named too. Days are
 * mean solar days, so no time zone enters.
 * Inputs: temperatures and dew points, -80 to 80 °C; humidity, 0 to 100 %; wind, 0 to 120 m/s at 0.5
 * to 200 m; radiation and rain from 0. Throws RangeError outside, or when hours are out of order.
 * Source: Allen et al. 1998, FAO-56, chapter 3, pp. 58-64, taken from the day to its hours.
 * Example: 14.8 °C the lowest of the day: 1.68 kPa; 26.6 and 14.8 °C: 0.55 of the radiation above
 * the atmosphere (FAO-56, Example 20).
 */
export function filledWeather(input: MissingWeatherInput): MissingWeatherResult {
  const { place, setting = 'interior' } = input;
  const { hours, gaps } = hoursWithTemperature(input.hours, BRIDGE_H);
  const startsMs = hours.map(({ raw }) => raw.startMs);
  const ranges = dayRanges(
    hours.map(({ raw, airTempC }) => ({ startMs: raw.startMs, airTempC })),
    place.longitudeDeg,
  );
  const vapours = hours.map(measuredVapourKPa);
  const winds = hours.map(({ raw }) =>
    raw.windMPerS === null
      ? null
      : windAt2mMPerS({ windMPerS: raw.windMPerS, heightM: raw.windHeightM }),
  );

  const filledHours = hours.map((hour, index): WeatherHour => {
    const { raw, airTempC } = hour;
    const filled: FilledValue[] = [];
    const fill = (field: WeatherField, how: FillMethod, value: number): number => {
      filled.push({ field, how });
      return value;
    };
    const between = (field: WeatherField, values: (number | null)[]): number | null => {
      const value = bridged(values, startsMs, index);
      return value === null ? null : fill(field, 'hours_around', value);
    };
    const range = ranges[index] ?? { highC: airTempC, lowC: airTempC, hours: 1 };
    if (hour.interpolated) fill('airTempC', 'hours_around', airTempC);

    let vapour =
      vapours[index] ??
      between('vapourPressureKPa', vapours) ??
      fill('vapourPressureKPa', 'dew_point_at_daily_low', saturationKPa(range.lowC));
    if (vapour > saturationKPa(airTempC)) {
      vapour = saturationKPa(airTempC);
      const named = filled.some(({ field }) => field === 'vapourPressureKPa');
      if (!named) fill('vapourPressureKPa', 'lowered_to_saturation', vapour);
    }
    const wind =
      winds[index] ??
      between('windMPerS', winds) ??
      fill('windMPerS', 'usual_wind', USUAL_WIND_M_PER_S);
    const solar =
      notNegative('solarMjPerM2', raw.solarMjPerM2, raw.startMs) ??
      fill(
        'solarMjPerM2',
        'temperature_range',
        estimatedSolarMjPerM2({ startMs: raw.startMs, place, range, setting }),
      );
    const rain = notNegative('rainMm', raw.rainMm, raw.startMs) ?? fill('rainMm', 'no_rain', 0);
    return {
      startMs: raw.startMs,
      origin: raw.origin,
      airTempC,
      vapourPressureKPa: vapour,
      windMPerS: wind,
      solarMjPerM2: solar,
      rainMm: rain,
      filled,
      ...(raw.told === undefined ? {} : { told: raw.told }),
    };
  });
  return { hours: filledHours, gaps };
}

import {
  saturationKPa,
  vapourPressureOfDewPointKPa,
  vapourPressureOfHumidityKPa,
  windAt2mMPerS,
} from './air.ts';
import { clearSkyMjPerM2, type Setting, transmissionFromRangeFraction } from './solar-radiation.ts';
import { solarDayStartMs, sunOfHour } from './sun-geometry.ts';
import type {
  FilledValue,
  FillMethod,
  RawHour,
  SitePlace,
  WeatherField,
  WeatherHour,
} from './weather-hour.ts';

const HOUR_MS = 3_600_000;
/** Mean of over 2000 stations (FAO-56, p. 63). */
export const USUAL_WIND_M_PER_S = 2;

/** What to fill, and where. */
interface MissingWeatherInput {
  /** In order of time, whole hours apart, each once; hours may be missing between. */
  hours: RawHour[];
  place: SitePlace;
  /** Land or shore, for the radiation from the temperature range. Default: interior. */
  setting?: Setting;
}

/** Complete hours, and the stretches that nothing could fill. */
interface MissingWeatherResult {
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
      ...(raw.rainChanceFraction === undefined
        ? {}
        : { rainChanceFraction: raw.rainChanceFraction }),
      ...(raw.told === undefined ? {} : { told: raw.told }),
    };
  });
  return { hours: filledHours, gaps };
}

/** A stretch of hours for which there is no weather. */
interface WeatherGap {
  startMs: number;
  endMs: number;
}

/** An hour of a source with its temperature, given or between its neighbours. */
interface TemperedHour {
  raw: RawHour;
  airTempC: number;
  interpolated: boolean;
}

/** Longest silence that the hours around it may bridge, whole hours. */
export const BRIDGE_H = 3;

/** An hour of which nothing is told, as one of a source that told others. */
export function silentHour(startMs: number, like: RawHour): RawHour {
  return {
    startMs,
    origin: like.origin,
    airTempC: null,
    dewPointC: null,
    relativeHumidityPct: null,
    windMPerS: null,
    windHeightM: like.windHeightM,
    solarMjPerM2: null,
    rainMm: null,
    ...(like.told === undefined ? {} : { told: like.told }),
  };
}

function checkOrder(hours: RawHour[]): void {
  hours.forEach((hour, index) => {
    const before = hours[index - 1];
    if (!Number.isFinite(hour.startMs)) {
      throw new RangeError(
        `filledWeather: not an instant (got ${hour.startMs}); give epoch milliseconds`,
      );
    }
    if (before === undefined) return;
    const stepMs = hour.startMs - before.startMs;
    if (stepMs <= 0 || stepMs % HOUR_MS !== 0) {
      throw new RangeError(
        `filledWeather: hours out of step (got ${hour.startMs} after ${before.startMs}); give whole hours in order of time, each once`,
      );
    }
  });
}

/**
 * The hours that have a temperature or lie in a short silence between two that have, and the gaps
 * that are too long or open-ended. Nothing else about the weather can be estimated without one.
 *
 * Inputs: raw hours in order of time; longest silence to bridge, whole hours. Throws RangeError when
 * the hours are out of order or not whole hours apart.
 */
export function hoursWithTemperature(
  hours: RawHour[],
  bridgeH: number,
): { hours: TemperedHour[]; gaps: WeatherGap[] } {
  checkOrder(hours);
  const out: TemperedHour[] = [];
  const gaps: WeatherGap[] = [];
  const known = hours.filter((hour) => hour.airTempC !== null);
  const first = hours[0];
  const last = hours.at(-1);
  if (first === undefined || last === undefined) return { hours: out, gaps };
  const bySlot = new Map(hours.map((hour) => [hour.startMs, hour]));

  const gap = (startMs: number, endMs: number): void => {
    if (endMs > startMs) gaps.push({ startMs, endMs });
  };
  let doneMs = first.startMs;
  let before: RawHour | null = null;
  for (const hour of known) {
    const silentH = (hour.startMs - doneMs) / HOUR_MS;
    if (silentH > 0 && before !== null && silentH <= bridgeH) {
      for (let slot = 1; slot <= silentH; slot += 1) {
        const startMs = before.startMs + slot * HOUR_MS;
        const share = slot / (silentH + 1);
        out.push({
          raw: bySlot.get(startMs) ?? silentHour(startMs, before),
          airTempC: (before.airTempC ?? 0) * (1 - share) + (hour.airTempC ?? 0) * share,
          interpolated: true,
        });
      }
    } else {
      gap(doneMs, hour.startMs);
    }
    out.push({ raw: hour, airTempC: hour.airTempC ?? 0, interpolated: false });
    before = hour;
    doneMs = hour.startMs + HOUR_MS;
  }
  gap(doneMs, last.startMs + HOUR_MS);
  return { hours: out, gaps };
}

const DAY_MS = 24 * HOUR_MS;

/** Highest and lowest temperature of a day, °C. */
interface DayRange {
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

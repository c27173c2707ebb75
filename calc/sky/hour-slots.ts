import type { RawHour } from './weather-hour.ts';

const HOUR_MS = 3_600_000;

/** A stretch of hours for which there is no weather. */
export interface WeatherGap {
  startMs: number;
  endMs: number;
}

/** An hour of a source with its temperature, given or between its neighbours. */
export interface TemperedHour {
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

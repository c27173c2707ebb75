import { requireNumbers } from '../input-range.ts';
import { saturationKPa } from './air.ts';
import { clearSkyMjPerM2 } from './solar-radiation.ts';
import { sunOfHour } from './sun-geometry.ts';
import type { SitePlace, WeatherHour } from './weather-hour.ts';

const HOUR_MS = 3_600_000;

/** A person's correction of the day's forecast. */
export interface DayCall {
  /** When it was made: it shifts the hours from then on. */
  atMs: number;
  /** Warmer than foretold by this much; negative: cooler. */
  hotterK: number;
  /** Wind as a part of what is foretold: 1 leaves it alone, 1.5 is half as much again. */
  windFraction: number;
  /** Part of the foretold solar radiation that clouds take; negative: sunnier. */
  cloudierFraction: number;
}

/** A call that changes nothing: it takes an earlier one back. */
export const NO_CALL: Omit<DayCall, 'atMs'> = { hotterK: 0, windFraction: 1, cloudierFraction: 0 };

/** How far a person may correct a forecast. */
export const DAY_CALL_BOUNDS = {
  hotterK: { atLeast: -15, atMost: 15 },
  windFraction: { atLeast: 0, atMost: 4 },
  cloudierFraction: { atLeast: -1, atMost: 1 },
} as const;

/** Whether a call leaves the forecast as it is. */
export function changesNothing(call: Omit<DayCall, 'atMs'>): boolean {
  return call.hotterK === 0 && call.windFraction === 1 && call.cloudierFraction === 0;
}

/**
 * Hours with the day's calls worked in: air warmer by so many K, wind times a factor, solar
 * radiation less by a part. Each hour takes the newest call made before its end.
 *
 * Vapour pressure stays: warmer air holds no more water for being warmer, so its relative humidity
 * falls. Air that is called cooler than its dew point gives up what it cannot hold. Sun that is
 * called brighter stays within a clear sky. Observed hours are never changed; hours that stand in
 * for a forecast (carried, usual) are.
 *
 * @param asked hours in any order; calls oldest first, within {@link DAY_CALL_BOUNDS}; the end of
 *   the day that the calls speak of, epoch ms; the place, for the clear sky.
 * @throws RangeError when a call is out of its bounds.
 * Source: clear sky, FAO-56 (Allen et al. 1998), Eq. 37; saturation, Eq. 11.
 */
export function calledHours(asked: {
  hours: readonly WeatherHour[];
  calls: readonly DayCall[];
  endMs: number;
  place: SitePlace;
}): WeatherHour[] {
  const { hours, calls, endMs, place } = asked;
  for (const { hotterK, windFraction, cloudierFraction } of calls) {
    requireNumbers('calledHours', {
      hotterK: [hotterK, DAY_CALL_BOUNDS.hotterK],
      windFraction: [windFraction, DAY_CALL_BOUNDS.windFraction],
      cloudierFraction: [cloudierFraction, DAY_CALL_BOUNDS.cloudierFraction],
    });
  }
  return hours.map((hour) => {
    const call = calls.findLast((one) => one.atMs < hour.startMs + HOUR_MS);
    if (call === undefined || hour.origin === 'observed' || hour.startMs >= endMs) return hour;
    return calledHour(hour, call, place);
  });
}

function calledHour(hour: WeatherHour, call: DayCall, place: SitePlace): WeatherHour {
  if (changesNothing(call)) return hour;
  const airTempC = hour.airTempC + call.hotterK;
  const called = hour.solarMjPerM2 * (1 - call.cloudierFraction);
  return {
    ...hour,
    airTempC,
    vapourPressureKPa: Math.min(hour.vapourPressureKPa, saturationKPa(airTempC)),
    windMPerS: hour.windMPerS * call.windFraction,
    solarMjPerM2:
      call.cloudierFraction < 0
        ? Math.min(called, Math.max(hour.solarMjPerM2, clearSkyOf(hour.startMs, place)))
        : called,
  };
}

function clearSkyOf(startMs: number, place: SitePlace): number {
  const { extraterrestrialMjPerM2 } = sunOfHour({ ...place, startMs });
  return clearSkyMjPerM2({ extraterrestrialMjPerM2, elevationM: place.elevationM });
}

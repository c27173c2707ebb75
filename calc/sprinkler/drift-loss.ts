import { requireNumbers } from '../input-range.ts';

/** The weather of a cycle. */
export interface DriftWeather {
  /** Wind at 2 m, m/s. */
  windMPerS: number;
  relativeHumidityPct: number;
  /** Not in the equations chosen; when given it is held against the trials' range. */
  airTempC?: number;
  /** True while the sun is up. */
  isDay: boolean;
}

export type DriftInput = 'windMPerS' | 'relativeHumidityPct' | 'airTempC';

/** Part of the discharge that never reaches the turf. */
export interface DriftLoss {
  /** 0 to below 1. */
  lossFraction: number;
  /** True when wind or humidity was held at the edge of the trials' range. */
  clamped: boolean;
  /** Inputs outside the trials' range, the air temperature among them. */
  outsideRange: DriftInput[];
}

/** What may be wrong with any value of the loss, either way: models differ by a factor of two. */
export const DRIFT_UNCERTAINTY_FRACTION = 0.05;

/** Conditions of the trials (from memory, approximate); beyond them the nearest edge is used. */
export const DRIFT_RANGE = {
  windMPerS: [0.5, 7],
  relativeHumidityPct: [25, 95],
  airTempC: [8, 38],
} as const;

/**
 * Wind drift and evaporation loss in flight as a part of the discharge.
 *
 * By day the loss grows with wind and dryness in a straight line. By night the trials were calm and
 * their quadratic in wind overtakes the day's line near 3 m/s, where no night was measured, so the
 * night loss follows the quadratic and never passes the day's. Both only grow with wind and with
 * dryness, and the night is never lossier than the day.
 *
 * Validity: impact sprinklers with 4.4 and 2.4 mm nozzles at 300 kPa in a solid set, catch cans, Ebro
 * valley; wind 0.5 to 7 m/s, humidity 25 to 95 %, air 8 to 38 °C. Outside it wind and humidity are
 * held at the edge and named. Golf rotors throw coarser drops further: read any value as within
 * ±5 percentage points at best ({@link DRIFT_UNCERTAINTY_FRACTION}).
 *
 * @param weather wind at least 0 m/s, humidity 0 to 100 %, air -60 to 60 °C when given.
 * @throws RangeError when an input is outside its physical range.
 * Source: Playán et al. 2005, Agricultural Water Management 76:139-159; solid set, day
 * 24.1 + 1.41 U - 0.216 RH and night 3.7 + 1.31 U², percent of discharge.
 * @example
 * driftLoss({ windMPerS: 2, relativeHumidityPct: 50, isDay: true }).lossFraction; // 0.1612
 * driftLoss({ windMPerS: 2, relativeHumidityPct: 50, isDay: false }).lossFraction; // 0.0894
 */
export function driftLoss(weather: DriftWeather): DriftLoss {
  const { windMPerS, relativeHumidityPct, airTempC, isDay } = weather;
  requireNumbers('driftLoss', {
    windMPerS: [windMPerS, { atLeast: 0 }],
    relativeHumidityPct: [relativeHumidityPct, { atLeast: 0, atMost: 100 }],
    airTempC: [airTempC ?? 20, { atLeast: -60, atMost: 60 }],
  });
  const u = hold(windMPerS, DRIFT_RANGE.windMPerS);
  const rh = hold(relativeHumidityPct, DRIFT_RANGE.relativeHumidityPct);
  const dayPct = 24.1 + 1.41 * u - 0.216 * rh;
  const lossPct = isDay ? dayPct : Math.min(3.7 + 1.31 * u ** 2, dayPct);

  const outsideRange: DriftInput[] = [];
  if (u !== windMPerS) outsideRange.push('windMPerS');
  if (rh !== relativeHumidityPct) outsideRange.push('relativeHumidityPct');
  const clamped = outsideRange.length > 0;
  if (airTempC !== undefined && hold(airTempC, DRIFT_RANGE.airTempC) !== airTempC) {
    outsideRange.push('airTempC');
  }
  return { lossFraction: Math.max(0, lossPct) / 100, clamped, outsideRange };
}

function hold(value: number, [least, most]: readonly [number, number]): number {
  return Math.min(most, Math.max(least, value));
}

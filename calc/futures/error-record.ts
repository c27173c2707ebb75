import { dewPointC } from '../sky/air.ts';
import type { WeatherField, WeatherHour } from '../sky/weather-hour.ts';
import {
  DAY_AHEAD,
  type ErrorSize,
  grownSize,
  mapSize,
  type SizesByLead,
} from './forecast-errors.ts';

const HOUR_MS = 3_600_000;

/** The stretches of lead time over which a site's record is kept, hours. */
export const LEAD_STRETCHES_H = [
  { fromH: 0, toH: 3 },
  { fromH: 3, toH: 6 },
  { fromH: 6, toH: 12 },
  { fromH: 12, toH: 24 },
  { fromH: 24, toH: 48 },
] as const;

/** An hour as it was foretold: what errors are told of. */
export type ForetoldHour = Pick<
  WeatherHour,
  'startMs' | 'airTempC' | 'vapourPressureKPa' | 'windMPerS' | 'solarMjPerM2'
>;

/** What came less what was foretold, in the mean over a stretch of lead time; null: not measured. */
export type ForecastError = {
  /** When the forecast was planned on, epoch ms. */
  madeMs: number;
  leadFromH: number;
  leadToH: number;
} & { [field in keyof ErrorSize]: number | null };

/** Calm air is called calm: below this a ratio of winds tells nothing. */
const CALM_M_PER_S = 0.3;
/** With less sun foretold over a stretch than this it is night, MJ/m². */
const LEAST_SUN_MJ_PER_M2 = 0.5;
/** So much of a stretch has to be measured. */
const LEAST_MEASURED_FRACTION = 0.5;
const MOST_SUN_FRACTION = 2;

/**
 * Errors of a forecast by lead time, from what was foretold and what was measured: of air and dew
 * point the mean difference, of wind the log of the ratio of means, of sun the ratio of sums less 1.
 * A stretch of which less than half was measured is left out; values that were filled in are none.
 *
 * @param foretold From the hour of `madeMs` on, in order.
 * @param came Hours with their origin; only observed ones count.
 */
export function forecastErrors({
  madeMs,
  foretold,
  came,
}: {
  madeMs: number;
  foretold: readonly ForetoldHour[];
  came: readonly WeatherHour[];
}): ForecastError[] {
  const measured = new Map(
    came.filter(({ origin }) => origin === 'observed').map((hour) => [hour.startMs, hour]),
  );
  return LEAD_STRETCHES_H.flatMap(({ fromH, toH }): ForecastError[] => {
    const pairs = foretold.flatMap((told) => {
      const leadH = (told.startMs + HOUR_MS / 2 - madeMs) / HOUR_MS;
      const real = measured.get(told.startMs);
      return leadH >= fromH && leadH < toH && real !== undefined ? [{ told, real }] : [];
    });
    const enough = LEAST_MEASURED_FRACTION * (toH - fromH);
    const of = (field: WeatherField, error: (of: typeof pairs) => number | null) => {
      const known = pairs.filter(({ real }) => real.filled.every((one) => one.field !== field));
      return known.length >= enough ? error(known) : null;
    };
    if (pairs.length < enough) return [];
    return [
      {
        madeMs,
        leadFromH: fromH,
        leadToH: toH,
        airTempK: of('airTempC', (known) =>
          mean(known.map(({ told, real }) => real.airTempC - told.airTempC)),
        ),
        dewPointK: of('vapourPressureKPa', (known) =>
          mean(known.map(({ told, real }) => dewPointOf(real) - dewPointOf(told))),
        ),
        windLog: of('windMPerS', (known) => {
          const wind = (which: 'told' | 'real') =>
            Math.max(CALM_M_PER_S, mean(known.map((pair) => pair[which].windMPerS)));
          return Math.log(wind('real') / wind('told'));
        }),
        sunFraction: of('solarMjPerM2', (known) => {
          const sum = (which: 'told' | 'real') =>
            known.reduce((total, pair) => total + pair[which].solarMjPerM2, 0);
          if (sum('told') < LEAST_SUN_MJ_PER_M2) return null;
          return Math.min(MOST_SUN_FRACTION, sum('real') / sum('told') - 1);
        }),
      },
    ];
  });
}

function dewPointOf({ vapourPressureKPa }: { vapourPressureKPa: number }): number {
  return dewPointC(Math.max(0.002, vapourPressureKPa));
}

/** So many days have to stand in a record before it speaks. */
export const LEAST_RECORD_DAYS = 10;
/** A size that nobody measured here weighs as much as so many days of the record. */
const PRIOR_DAYS = 10;

/**
 * Error sizes by lead time from a site's own record, or null while it has fewer than ten days.
 *
 * Each size is the root of the weighted mean of the recorded squares and the published square, the
 * published one weighing as ten days: n days of mean square m give (n m + 10 p) / (n + 10). Squares
 * are taken about zero, so that a forecast that is always too warm counts as wrong.
 *
 * Source: shrinkage of a variance to a prior worth so many observations (conjugate inverse gamma,
 * known mean); its ten days are our choice.
 */
export function recordedSizes(record: readonly ForecastError[]): SizesByLead | null {
  if (new Set(record.map(({ madeMs }) => madeMs)).size < LEAST_RECORD_DAYS) return null;
  return LEAD_STRETCHES_H.map(({ fromH, toH }) => {
    const leadH = (fromH + toH) / 2;
    const rows = record.filter((row) => row.leadFromH === fromH && row.leadToH === toH);
    const published = grownSize(DAY_AHEAD, leadH);
    return {
      leadH,
      ...mapSize((field) =>
        shrunkSize(
          rows.flatMap((row) => row[field] ?? []),
          published[field],
        ),
      ),
    };
  });
}

/**
 * Spread about zero of departures, shrunk to a usual one that weighs as ten of them.
 * @param departures None is well: the usual spread stands.
 */
export function shrunkSize(departures: readonly number[], usual: number): number {
  const squares = departures.reduce((sum, departure) => sum + departure ** 2, 0);
  return Math.sqrt((squares + PRIOR_DAYS * usual ** 2) / (departures.length + PRIOR_DAYS));
}

function mean(values: readonly number[]): number {
  return values.reduce((sum, value) => sum + value, 0) / values.length;
}

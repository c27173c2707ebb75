import { describe, expect, it } from 'vitest';
import {
  type ForecastError,
  forecastErrors,
  LEAD_STRETCHES_H,
  recordedSizes,
  shrunkSize,
} from '../../../calc/futures/error-record.ts';
import { DAY_AHEAD, grownSize, sizeAtLead } from '../../../calc/futures/forecast-errors.ts';
import { weatherFutures } from '../../../calc/futures/weather-futures.ts';
import { saturationKPa } from '../../../calc/sky/air.ts';
import type { EtHour } from '../../../calc/sky/weather-hour.ts';
import { foretoldFrom, packagedDays } from './packaged-days.ts';

const HOUR_MS = 3_600_000;
const DAY_MS = 24 * HOUR_MS;
const FROM_MS = Date.UTC(2013, 6, 10);
const { place, hours } = packagedDays('Seattle', { fromMs: FROM_MS, days: 4 });
const madeMs = (hours[0]?.startMs ?? 0) + DAY_MS + 5 * HOUR_MS;
const foretold = hours.filter(({ startMs }) => startMs >= madeMs);

/** What came: everything off by the same. */
const came = hours.map(
  (hour): EtHour => ({
    ...hour,
    airTempC: hour.airTempC + 2,
    vapourPressureKPa: saturationKPa(5),
    windMPerS: hour.windMPerS * 1.5,
    solarMjPerM2: hour.solarMjPerM2 * 0.8,
    filled: [],
  }),
);
const dry = foretold.map((hour) => ({ ...hour, vapourPressureKPa: saturationKPa(8) }));

describe('errors of a forecast', () => {
  it('are told by lead time: air, dew point, the log of the winds, the part of the sun', () => {
    const errors = forecastErrors({ madeMs, foretold: dry, came });
    expect(errors.map(({ leadFromH, leadToH }) => [leadFromH, leadToH])).toEqual(
      LEAD_STRETCHES_H.map(({ fromH, toH }) => [fromH, toH]),
    );
    for (const error of errors) {
      expect(error.madeMs).toBe(madeMs);
      expect(error.airTempK).toBeCloseTo(2, 9);
      expect(error.dewPointK).toBeCloseTo(-3, 9);
      expect(error.windLog).toBeCloseTo(Math.log(1.5), 9);
      expect(error.sunFraction).toBeCloseTo(-0.2, 9);
    }
  });

  it('have no sun at night, and nothing that was filled in or not measured', () => {
    const night = madeMs + 16 * HOUR_MS;
    const atNight = forecastErrors({
      madeMs: night,
      foretold: hours.filter(({ startMs }) => startMs >= night),
      came,
    });
    expect(atNight[0]?.sunFraction).toBeNull();
    expect(atNight[0]?.airTempK).toBeCloseTo(2, 9);
    const calm = came.map((hour) => ({
      ...hour,
      filled: [{ field: 'windMPerS' as const, how: 'usual_wind' as const }],
    }));
    for (const error of forecastErrors({ madeMs, foretold: dry, came: calm })) {
      expect(error.windLog).toBeNull();
      expect(error.airTempK).toBeCloseTo(2, 9);
    }
    expect(forecastErrors({ madeMs, foretold: dry, came: foretoldFrom(came, 0) })).toEqual([]);
  });

  it('leave out a stretch of which less than half was measured', () => {
    // Measured until 17 h after: of 12 to 24 h five hours are known, six are asked for.
    const until = (leadH: number) =>
      came.filter(({ startMs }) => startMs < madeMs + leadH * HOUR_MS);
    const last = (leadH: number) =>
      forecastErrors({ madeMs, foretold: dry, came: until(leadH) }).at(-1)?.leadToH;
    expect(last(17)).toBe(12);
    expect(last(18)).toBe(24);
  });
});

const PLUS: Omit<ForecastError, 'madeMs' | 'leadFromH' | 'leadToH'> = {
  airTempK: 3,
  dewPointK: -1,
  windLog: 0.5,
  sunFraction: null,
};
const record = (days: number, error = PLUS): ForecastError[] =>
  Array.from({ length: days }, (_, day) =>
    LEAD_STRETCHES_H.map(({ fromH, toH }) => ({
      madeMs: day * DAY_MS,
      leadFromH: fromH,
      leadToH: toH,
      ...error,
    })),
  ).flat();

describe('sizes from a record', () => {
  it('are none before ten days', () => {
    expect(recordedSizes([])).toBeNull();
    expect(recordedSizes(record(9))).toBeNull();
    expect(recordedSizes(record(10))).toHaveLength(5);
  });

  it('are shrunk to the published ones, which weigh as ten days', () => {
    // Ten days of 3 K and ten of 1.7 K: the root of (9 + 2.89) / 2.
    const sizes = recordedSizes(record(10)) ?? [];
    expect(sizes[4]?.leadH).toBe(36);
    expect(sizes[4]?.airTempK).toBeCloseTo(Math.sqrt((9 + 2.89) / 2), 4);
    expect(sizes[4]?.dewPointK).toBeCloseTo(Math.sqrt((1 + 2.89) / 2), 4);
    // A field that nobody measured keeps the published size.
    expect(sizes[4]?.sunFraction).toBeCloseTo(0.2, 4);
    expect(sizes[0]?.sunFraction).toBeCloseTo(grownSize(DAY_AHEAD, 1.5).sunFraction, 9);
    const long = recordedSizes(record(2000)) ?? [];
    expect(long[4]?.airTempK).toBeCloseTo(3, 1);
  });

  it('lie on a line between the middles of stretches', () => {
    const sizes = [
      { leadH: 1, ...DAY_AHEAD, airTempK: 1 },
      { leadH: 3, ...DAY_AHEAD, airTempK: 2 },
    ];
    const at = (leadH: number) => sizeAtLead(sizes, leadH).airTempK;
    expect([0, 1, 2, 2.5, 3, 40].map(at)).toEqual([1, 1, 1.5, 1.75, 2, 2]);
    expect(() => sizeAtLead([], 1)).toThrow(RangeError);
  });

  it('are what futures rest on from ten days on', () => {
    const input = { hours: foretoldFrom(hours, madeMs), place, asOfMs: madeMs };
    const spread = (days: number, error = PLUS) => {
      const { basis, members } = weatherFutures({
        ...input,
        count: 200,
        record: record(days, error),
      });
      const at = hours.findIndex(({ startMs }) => startMs >= madeMs + 9 * HOUR_MS);
      const air = members.map(
        (member) => (member.hours[at]?.airTempC ?? 0) - (hours[at]?.airTempC ?? 0),
      );
      return { basis, airK: Math.sqrt(air.reduce((sum, one) => sum + one ** 2, 0) / air.length) };
    };
    const published = spread(9);
    expect(published.basis).toBe('published');
    const wrong = spread(60);
    expect(wrong.basis).toBe('record');
    expect(wrong.airK).toBeGreaterThan(1.4 * published.airK);
    const right = spread(60, { airTempK: 0.3, dewPointK: 0.3, windLog: 0.05, sunFraction: 0.03 });
    expect(right.airK).toBeLessThan(0.6 * published.airK);
  });
});

describe('a spread shrunk to a usual one', () => {
  it('is the usual one without departures, and between both with ten', () => {
    expect(shrunkSize([], 3)).toBeCloseTo(3, 12);
    expect(shrunkSize(Array(10).fill(-1), 3)).toBeCloseTo(Math.sqrt(5), 12);
  });
});

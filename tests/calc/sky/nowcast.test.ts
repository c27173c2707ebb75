import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { saturationKPa } from '../../../calc/sky/air.ts';
import { isForecastMoved, nowcastHours } from '../../../calc/sky/nowcast.ts';
import type { WeatherHour } from '../../../calc/sky/weather-hour.ts';

const HOUR_MS = 3_600_000;
const START_MS = Date.parse('2026-07-01T00:00:00Z');
const PLACE = { latitudeDeg: 40, longitudeDeg: 0, elevationM: 100 };

interface Departure {
  airTempK?: number;
  windFraction?: number;
  sunFraction?: number;
}

/** An invented day, and a second one that departs from it: observed up to `now`, then carried. */
function twoDays(now: number, { airTempK = 0, windFraction = 1, sunFraction = 1 }: Departure) {
  return Array.from({ length: 48 }, (_, index): WeatherHour => {
    const sun = Math.max(0, Math.sin((((index % 24) - 5) / 14) * Math.PI));
    const isToday = index >= 24 && index < 24 + now;
    return {
      startMs: START_MS + index * HOUR_MS,
      origin: index < 24 + now ? 'observed' : 'carried',
      airTempC: 14 + 10 * sun + (isToday ? airTempK : 0),
      vapourPressureKPa: 1.2,
      windMPerS: (2 + sun) * (isToday ? windFraction : 1),
      solarMjPerM2: 1.8 * sun * (isToday ? sunFraction : 1),
      rainMm: 0,
      filled: [],
    };
  });
}

const at = (hours: readonly WeatherHour[], hour: number): WeatherHour => {
  const found = hours[24 + hour];
  if (found === undefined) throw new Error(`no such hour: ${hour}`);
  return found;
};

describe('nowcastHours', () => {
  it('leaves a day alone that is like the one before', () => {
    const hours = twoDays(11, {});
    expect(nowcastHours(hours, PLACE)).toEqual(hours);
  });

  it('carries on a hotter, windier day, less and less', () => {
    const hours = twoDays(11, { airTempK: 4, windFraction: 1.6 });
    const now = nowcastHours(hours, PLACE);
    const warmer = [11, 14, 17, 22].map(
      (hour) => at(now, hour).airTempC - at(hours, hour).airTempC,
    );
    expect(warmer[0]).toBeCloseTo(4 * Math.exp(-1 / 6), 6);
    expect(warmer).toEqual(warmer.toSorted((a, b) => b - a));
    expect(warmer.at(-1)).toBeLessThan(1);
    expect(at(now, 12).windMPerS / at(hours, 12).windMPerS).toBeCloseTo(1.6 ** Math.exp(-2 / 6), 6);
  });

  it('looks back on the three last observed hours, on each of them, and on their moisture', () => {
    const hours = twoDays(11, {});
    const withOneWarmer = (hour: number) =>
      nowcastHours(
        hours.map((one, index) =>
          index === 24 + hour ? { ...one, airTempC: one.airTempC + 3 } : one,
        ),
        PLACE,
      );
    const warmerAt12 = (hour: number) =>
      at(withOneWarmer(hour), 12).airTempC - at(hours, 12).airTempC;
    for (const hour of [8, 9, 10]) expect(warmerAt12(hour)).toBeCloseTo(Math.exp(-2 / 6), 6);
    expect(warmerAt12(7)).toBe(0);
    const drier = hours.map((one, index) =>
      index >= 32 && index < 35 ? { ...one, vapourPressureKPa: 0.9 } : one,
    );
    const now = nowcastHours(drier, PLACE);
    expect(at(now, 12).vapourPressureKPa).toBeCloseTo(1.2 - 0.3 * Math.exp(-2 / 6), 6);
  });

  it('takes no wind for less than half or more than twice what it was, nor calm for a ratio', () => {
    const ratioAt12 = (windFraction: number) => {
      const hours = twoDays(11, { windFraction });
      return at(nowcastHours(hours, PLACE), 12).windMPerS / at(hours, 12).windMPerS;
    };
    expect(ratioAt12(9)).toBeCloseTo(2 ** Math.exp(-2 / 6), 6);
    expect(ratioAt12(0.2)).toBeCloseTo(0.5 ** Math.exp(-2 / 6), 6);
    // Both calm: 0.3 m/s is the least that counts.
    const still = twoDays(11, {}).map((one, index) => ({
      ...one,
      windMPerS: index < 24 ? 0.2 : index < 35 ? 0.45 : 1,
    }));
    expect(at(nowcastHours(still, PLACE), 12).windMPerS).toBeCloseTo(1.5 ** Math.exp(-2 / 6), 6);
  });

  it('darkens under clouds, and brightens no further than a clear sky', () => {
    const hours = twoDays(11, { sunFraction: 0.6 });
    expect(at(nowcastHours(hours, PLACE), 11).solarMjPerM2).toBeLessThan(
      0.7 * at(hours, 11).solarMjPerM2,
    );
    const bright = nowcastHours(twoDays(11, { sunFraction: 2 }), PLACE);
    // Above the atmosphere the sun sends 4.92 MJ/m² in an hour (FAO-56, solar constant, p. 47).
    for (const hour of bright.slice(35)) expect(hour.solarMjPerM2).toBeLessThan(0.8 * 4.92);
  });

  it('says nothing by night: its air tells little of the day', () => {
    const hours = twoDays(4, { airTempK: 5, windFraction: 2 });
    expect(nowcastHours(hours, PLACE)).toEqual(hours);
  });

  it('touches nothing that someone measured or foretold', () => {
    const hours = twoDays(11, { airTempK: 4 }).map(
      (hour, index): WeatherHour => (index === 24 + 13 ? { ...hour, origin: 'forecast' } : hour),
    );
    const now = nowcastHours(hours, PLACE);
    expect(now.slice(0, 35)).toEqual(hours.slice(0, 35));
    expect(at(now, 13)).toEqual(at(hours, 13));
  });

  it('gives air that can be, whatever the departure', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 1, max: 22 }),
        fc.double({ min: -15, max: 15, noNaN: true }),
        fc.double({ min: 0, max: 20, noNaN: true }),
        fc.double({ min: 0, max: 5, noNaN: true }),
        (hour, airTempK, windFraction, sunFraction) => {
          for (const one of nowcastHours(
            twoDays(hour, { airTempK, windFraction, sunFraction }),
            PLACE,
          ).slice(24 + hour)) {
            expect(one.vapourPressureKPa).toBeLessThanOrEqual(saturationKPa(one.airTempC) + 1e-12);
            expect(one.vapourPressureKPa).toBeGreaterThan(0);
            expect(one.windMPerS).toBeGreaterThan(0);
            expect(one.windMPerS).toBeLessThanOrEqual(6);
            expect(one.solarMjPerM2).toBeGreaterThanOrEqual(0);
            expect(Math.abs(one.airTempC)).toBeLessThan(45);
          }
        },
      ),
      { numRuns: 60, seed: 11 },
    );
  });

  describe('of hours that were foretold', () => {
    /** The same days with the hours ahead foretold, and what was foretold of those that came. */
    const foretoldDays = (now: number, departure: Departure) => {
      const hours = twoDays(now, departure).map((hour): WeatherHour => {
        return hour.origin === 'carried' ? { ...hour, origin: 'forecast' } : hour;
      });
      const told = twoDays(now, {}).filter(
        (hour) => hour.startMs < START_MS + (24 + now) * HOUR_MS,
      );
      return { hours, told };
    };

    it('moves them by what was foretold of the measured ones, and less as it looks ahead', () => {
      const { hours, told } = foretoldDays(10, { airTempK: 3, windFraction: 1.5 });
      const now = nowcastHours(hours, PLACE, told);
      const shift = (hour: number) => at(now, hour).airTempC - at(hours, hour).airTempC;
      // One hour after the last measured one, and twelve.
      expect(shift(10)).toBeCloseTo(3 * Math.exp(-1 / 12), 9);
      expect(shift(21)).toBeCloseTo(3 / Math.E, 9);
      expect(at(now, 10).windMPerS / at(hours, 10).windMPerS).toBeCloseTo(
        1.5 ** Math.exp(-1 / 12),
        9,
      );
      expect(at(now, 9)).toEqual(at(hours, 9));
      expect(isForecastMoved(hours, told)).toBe(true);
    });

    it('leaves them as they are where nobody knows what was foretold, and by night', () => {
      const { hours, told } = foretoldDays(10, { airTempK: 3 });
      expect(nowcastHours(hours, PLACE)).toEqual(hours);
      expect(isForecastMoved(hours, [])).toBe(false);
      const night = foretoldDays(4, { airTempK: 3 });
      expect(nowcastHours(night.hours, PLACE, night.told)).toEqual(night.hours);
      expect(isForecastMoved(night.hours, night.told)).toBe(false);
      expect(told).not.toEqual([]);
    });
  });
});

import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { saturationKPa } from '../../../calc/sky/air.ts';
import { filledWeather } from '../../../calc/sky/missing-weather.ts';
import {
  extraterrestrialDayMjPerM2,
  solarDayStartMs,
  sunOfHour,
} from '../../../calc/sky/sun-geometry.ts';
import type { RawHour, WeatherField, WeatherHour } from '../../../calc/sky/weather-hour.ts';

const HOUR_MS = 3_600_000;
/** Lyon, FAO-56, Example 20. */
const LYON = { latitudeDeg: 45.72, longitudeDeg: 4.85, elevationM: 200 };
const dayMs = solarDayStartMs(Date.UTC(2026, 6, 15, 12), LYON.longitudeDeg);

/** An invented day between 14.8 and 26.6 °C, as in the example. */
function rawDay(override: Partial<RawHour> = {}, hours = 24): RawHour[] {
  return Array.from({ length: hours }, (_, index) => ({
    startMs: dayMs + index * HOUR_MS,
    origin: 'observed',
    airTempC: 20.7 - 5.9 * Math.cos(((index - 3) * Math.PI) / 12),
    dewPointC: 12,
    relativeHumidityPct: null,
    windMPerS: 3,
    windHeightM: 2,
    solarMjPerM2: 0.5,
    rainMm: 0,
    ...override,
  }));
}

const silence = (hours: RawHour[], field: keyof RawHour, slots: number[]): RawHour[] =>
  hours.map((hour, index) => (slots.includes(index) ? { ...hour, [field]: null } : hour));
const howOf = (hour: WeatherHour | undefined, field: WeatherField) =>
  hour?.filled.find((one) => one.field === field)?.how;

describe('weather that a source leaves out', () => {
  it('leaves complete hours alone', () => {
    const { hours, gaps } = filledWeather({ hours: rawDay(), place: LYON });
    expect(gaps).toEqual([]);
    expect(hours).toHaveLength(24);
    for (const hour of hours) {
      expect(hour.filled).toEqual([]);
      expect(hour.windMPerS).toBe(3);
      expect(hour.vapourPressureKPa).toBe(saturationKPa(12));
    }
  });

  it('takes humidity from the lowest temperature of the day (FAO-56, Example 20: 1.68 kPa)', () => {
    const { hours } = filledWeather({ hours: rawDay({ dewPointC: null }), place: LYON });
    for (const hour of hours) {
      expect(hour.vapourPressureKPa).toBeCloseTo(1.68, 2);
      expect(howOf(hour, 'vapourPressureKPa')).toBe('dew_point_at_daily_low');
    }
  });

  it('takes the sun from the temperature range (FAO-56, Example 20: 22.29 MJ/m²)', () => {
    const { hours } = filledWeather({ hours: rawDay({ solarMjPerM2: null }), place: LYON });
    const sum = hours.reduce((total, { solarMjPerM2 }) => total + solarMjPerM2, 0);
    // 15 July is the example's day 196.
    expect(sum).toBeCloseTo(22.29, 2);
    const above = extraterrestrialDayMjPerM2({ ...LYON, dayOfYear: 196 });
    expect(sum / above).toBeCloseTo(0.16 * Math.sqrt(11.8), 6);
    expect(hours[0]?.solarMjPerM2).toBe(0);
    expect(howOf(hours[12], 'solarMjPerM2')).toBe('temperature_range');
    const coast = filledWeather({
      hours: rawDay({ solarMjPerM2: null }),
      place: LYON,
      setting: 'coastal',
    });
    expect(coast.hours[12]?.solarMjPerM2).toBeGreaterThan(hours[12]?.solarMjPerM2 ?? 0);
  });

  it('takes 2 m/s for the wind and no rain (FAO-56, p. 63)', () => {
    const { hours } = filledWeather({
      hours: rawDay({ windMPerS: null, rainMm: null, windHeightM: 10 }),
      place: LYON,
    });
    expect(hours.map(({ windMPerS }) => windMPerS)).toEqual(Array(24).fill(2));
    expect(hours.map(({ rainMm }) => rainMm)).toEqual(Array(24).fill(0));
    expect(howOf(hours[3], 'windMPerS')).toBe('usual_wind');
    expect(howOf(hours[3], 'rainMm')).toBe('no_rain');
  });

  it('brings a wind from its height to 2 m', () => {
    const { hours } = filledWeather({
      hours: rawDay({ windMPerS: 3.2, windHeightM: 10 }),
      place: LYON,
    });
    // FAO-56, Example 14.
    expect(hours[0]?.windMPerS).toBeCloseTo(2.4, 1);
    expect(hours[0]?.filled).toEqual([]);
  });

  it('takes relative humidity where no dew point is', () => {
    const { hours } = filledWeather({
      hours: rawDay({ dewPointC: null, relativeHumidityPct: 50 }),
      place: LYON,
    });
    for (const hour of hours) {
      expect(hour.vapourPressureKPa).toBeCloseTo(saturationKPa(hour.airTempC) / 2, 9);
    }
  });

  it('bridges up to three silent hours on a line, and leaves four as a gap', () => {
    const three = filledWeather({ hours: silence(rawDay(), 'airTempC', [9, 10, 11]), place: LYON });
    expect(three.gaps).toEqual([]);
    const [before, first, second, third, after] = three.hours.slice(8, 13);
    const step = ((after?.airTempC ?? 0) - (before?.airTempC ?? 0)) / 4;
    expect(first?.airTempC).toBeCloseTo((before?.airTempC ?? 0) + step, 9);
    expect(second?.airTempC).toBeCloseTo((before?.airTempC ?? 0) + 2 * step, 9);
    expect(third?.airTempC).toBeCloseTo((before?.airTempC ?? 0) + 3 * step, 9);
    expect(howOf(second, 'airTempC')).toBe('hours_around');
    expect(before?.filled).toEqual([]);

    const four = filledWeather({
      hours: silence(rawDay(), 'airTempC', [9, 10, 11, 12]),
      place: LYON,
    });
    expect(four.hours).toHaveLength(20);
    expect(four.gaps).toEqual([{ startMs: dayMs + 9 * HOUR_MS, endMs: dayMs + 13 * HOUR_MS }]);
  });

  it('treats rows that are not there as silent ones', () => {
    const rows = rawDay().filter((_, index) => index !== 5 && index !== 6);
    const { hours, gaps } = filledWeather({ hours: rows, place: LYON });
    expect(gaps).toEqual([]);
    expect(hours).toHaveLength(24);
    expect(hours[5]?.filled.map(({ field }) => field)).toEqual([
      'airTempC',
      'vapourPressureKPa',
      'windMPerS',
      'solarMjPerM2',
      'rainMm',
    ]);
    expect(hours[5]?.windMPerS).toBe(3);
    expect(howOf(hours[5], 'windMPerS')).toBe('hours_around');
  });

  it('does not make up the ends of a series', () => {
    const rows = silence(rawDay(), 'airTempC', [0, 23]);
    const { hours, gaps } = filledWeather({ hours: rows, place: LYON });
    expect(hours).toHaveLength(22);
    expect(gaps).toEqual([
      { startMs: dayMs, endMs: dayMs + HOUR_MS },
      { startMs: dayMs + 23 * HOUR_MS, endMs: dayMs + 24 * HOUR_MS },
    ]);
    expect(filledWeather({ hours: [], place: LYON })).toEqual({ hours: [], gaps: [] });
    const mute = filledWeather({ hours: rawDay({ airTempC: null }), place: LYON });
    expect(mute.hours).toEqual([]);
    expect(mute.gaps).toEqual([{ startMs: dayMs, endMs: dayMs + 24 * HOUR_MS }]);
  });

  it('does not take an afternoon for a day', () => {
    // From 13:00 for 24 hours: the night's low belongs to the afternoon too.
    const rows = rawDay({ dewPointC: null }, 37).slice(13);
    const { hours } = filledWeather({ hours: rows, place: LYON });
    expect(hours[0]?.vapourPressureKPa).toBeCloseTo(1.68, 2);
  });

  it('lowers a dew point above the air to saturation, and says so', () => {
    const { hours } = filledWeather({ hours: rawDay({ dewPointC: 20 }), place: LYON });
    expect(hours[3]?.vapourPressureKPa).toBe(saturationKPa(hours[3]?.airTempC ?? 0));
    expect(howOf(hours[3], 'vapourPressureKPa')).toBe('lowered_to_saturation');
    expect(howOf(hours[15], 'vapourPressureKPa')).toBeUndefined();
  });

  it('refuses what cannot be', () => {
    const [first, second] = rawDay();
    if (first === undefined || second === undefined) throw new Error('no day');
    expect(() => filledWeather({ hours: [second, first], place: LYON })).toThrow(
      'give whole hours in order of time, each once',
    );
    expect(() =>
      filledWeather({
        hours: [first, { ...second, startMs: second.startMs + 60_000 }],
        place: LYON,
      }),
    ).toThrow(RangeError);
    expect(() => filledWeather({ hours: [{ ...first, rainMm: -1 }], place: LYON })).toThrow(
      'is impossible (got -1); give 0 or more, or null when it is not known',
    );
    expect(() => filledWeather({ hours: [{ ...first, windMPerS: -1 }], place: LYON })).toThrow(
      RangeError,
    );
  });

  it('fills any silence with numbers, accounts for every hour, and stays below a clear sky', () => {
    const maybe = (arbitrary: fc.Arbitrary<number>) => fc.option(arbitrary, { nil: null });
    const number = (min: number, max: number) => fc.double({ min, max, noNaN: true });
    fc.assert(
      fc.property(
        fc.array(
          fc.record({
            airTempC: maybe(number(-20, 45)),
            dewPointC: maybe(number(-30, 35)),
            relativeHumidityPct: maybe(number(0, 100)),
            windMPerS: maybe(number(0, 30)),
            solarMjPerM2: maybe(number(0, 4)),
            rainMm: maybe(number(0, 50)),
          }),
          { minLength: 1, maxLength: 80 },
        ),
        (cells) => {
          const raw = cells.map(
            (cell, index): RawHour => ({
              startMs: dayMs + index * HOUR_MS,
              origin: 'observed',
              windHeightM: 3,
              ...cell,
            }),
          );
          const { hours, gaps } = filledWeather({ hours: raw, place: LYON });
          const gapH = gaps.reduce((sum, gap) => sum + (gap.endMs - gap.startMs) / HOUR_MS, 0);
          expect(hours.length + gapH).toBe(raw.length);
          for (const hour of hours) {
            for (const value of [
              hour.airTempC,
              hour.vapourPressureKPa,
              hour.windMPerS,
              hour.solarMjPerM2,
              hour.rainMm,
            ]) {
              expect(Number.isFinite(value)).toBe(true);
            }
            expect(hour.vapourPressureKPa).toBeLessThanOrEqual(saturationKPa(hour.airTempC));
            if (howOf(hour, 'solarMjPerM2') !== undefined) {
              const above = sunOfHour({ ...LYON, startMs: hour.startMs }).extraterrestrialMjPerM2;
              expect(hour.solarMjPerM2).toBeLessThanOrEqual(0.754 * above + 1e-12);
            }
          }
        },
      ),
      { seed: 14, numRuns: 150 },
    );
  });
});

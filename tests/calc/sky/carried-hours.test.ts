import { describe, expect, it } from 'vitest';
import { filledWeather } from '../../../calc/sky/missing-weather.ts';
import { carriedHours } from '../../../calc/sky/persistence.ts';
import type { RawHour } from '../../../calc/sky/weather-hour.ts';

const HOUR_MS = 3_600_000;

const hourOf = (index: number, rainMm: number): RawHour => ({
  startMs: index * HOUR_MS,
  origin: 'observed',
  airTempC: 15 + index,
  dewPointC: 10,
  relativeHumidityPct: null,
  windMPerS: 2,
  windHeightM: 2,
  solarMjPerM2: 1,
  rainMm,
});

const WARMER = Array.from({ length: 48 }, (_, index) => hourOf(index, 0));

describe('a short silence', () => {
  const place = { latitudeDeg: 40, longitudeDeg: -105, elevationM: 1500 };
  const filledAt = (hours: RawHour[], index: number) => {
    const request = { fromMs: 24 * HOUR_MS, toMs: 48 * HOUR_MS };
    const complete = filledWeather({ hours: carriedHours(hours, request), place });
    expect(complete.gaps).toEqual([]);
    return complete.hours.find(({ startMs }) => startMs === index * HOUR_MS);
  };

  it.each([1, 2, 3])('of %d h is bridged, whether rows are missing or empty', (lengthH) => {
    const isSilent = ({ startMs }: RawHour) =>
      startMs >= 30 * HOUR_MS && startMs < (30 + lengthH) * HOUR_MS;
    const missing = WARMER.filter((hour) => !isSilent(hour));
    const empty = WARMER.map((hour) =>
      isSilent(hour)
        ? {
            ...hour,
            airTempC: null,
            dewPointC: null,
            windMPerS: null,
            solarMjPerM2: null,
            rainMm: null,
          }
        : hour,
    );
    for (let index = 30; index < 30 + lengthH; index++) {
      const bridged = filledAt(missing, index);
      expect(bridged).toEqual(filledAt(empty, index));
      // The temperature rises by a degree an hour here, and was 24 °C lower yesterday.
      expect(bridged?.airTempC).toBeCloseTo(15 + index, 9);
      expect(bridged?.origin).toBe('observed');
      expect(bridged?.filled[0]).toEqual({
        field: 'airTempC',
        how: 'hours_around',
      });
    }
  });

  it('of 4 h takes the day before, and so does one with an open end', () => {
    const long = WARMER.filter(({ startMs }) => startMs < 30 * HOUR_MS || startMs >= 34 * HOUR_MS);
    expect(filledAt(long, 31)).toMatchObject({ origin: 'carried', airTempC: 15 + 31 - 24 });
    const open = WARMER.filter(({ startMs }) => startMs < 46 * HOUR_MS);
    expect(filledAt(open, 46)).toMatchObject({ origin: 'carried', airTempC: 15 + 46 - 24 });
  });
});

describe('carriedHours', () => {
  it('carries yesterday’s hours, and not their rain', () => {
    const known = [hourOf(0, 0), hourOf(1, 6)];
    const hours = carriedHours(known, { fromMs: 0, toMs: 26 * HOUR_MS });
    expect(hours.slice(0, 2)).toEqual(known);
    expect(hours.slice(2)).toEqual(
      known.map((hour) => ({
        ...hour,
        startMs: hour.startMs + 24 * HOUR_MS,
        origin: 'carried',
        rainMm: 0,
      })),
    );
  });
});

import { describe, expect, it } from 'vitest';
import { type DayOutlook, outlookHours } from '../../../calc/sky/outlook-hours.ts';
import { sunOfHour } from '../../../calc/sky/sun-geometry.ts';
import { sunTimes } from '../../../calc/sky/sun-times.ts';

const HOUR_MS = 3_600_000;
/** An invented summer day at 39° N, 105° W, in a zone six hours behind. */
const dayStartMs = Date.UTC(2026, 6, 1, 6);
const OUTLOOK: DayOutlook = {
  dayStartMs,
  dayEndMs: dayStartMs + 24 * HOUR_MS,
  origin: 'forecast',
  highC: 33,
  lowC: 15,
  windMPerS: 3,
  windHeightM: 10,
  rainMm: 6,
  place: { latitudeDeg: 39, longitudeDeg: -105, elevationM: 1600 },
};
const sun = sunTimes({ ...OUTLOOK.place, dayStartMs });
const riseMs = sun.sunriseMs ?? Number.NaN;
const setMs = sun.sunsetMs ?? Number.NaN;
const middle = (startMs: number) => startMs + HOUR_MS / 2;
const column = (outlook: DayOutlook, field: 'airTempC' | 'windMPerS' | 'solarMjPerM2' | 'rainMm') =>
  outlookHours(outlook).map((hour) => hour[field] ?? Number.NaN);
const polar = (month: number): DayOutlook => {
  const startMs = Date.UTC(2026, month, 21);
  const place = { latitudeDeg: 80, longitudeDeg: 0, elevationM: 0 };
  return { ...OUTLOOK, dayStartMs: startMs, dayEndMs: startMs + 24 * HOUR_MS, place };
};

describe('the shape of a day', () => {
  it('has wind that is steady at night and a half sine from sunrise to two hours after sunset', () => {
    const hours = outlookHours(OUTLOOK);
    const calm = hours[0]?.windMPerS ?? Number.NaN;
    for (const { startMs, windMPerS } of hours) {
      const share = (middle(startMs) - riseMs) / (setMs + 2 * HOUR_MS - riseMs);
      const bulge = share > 0 && share < 1 ? Math.sin(Math.PI * share) : 0;
      expect((windMPerS ?? Number.NaN) / calm).toBeCloseTo(1 + (Math.PI / 2) * bulge, 9);
    }
    expect(new Set(column(polar(5), 'windMPerS'))).toEqual(new Set([3]));
    expect(new Set(column(polar(11), 'windMPerS'))).toEqual(new Set([3]));
  });

  it('warms by a half cosine up to two hours after noon and cools by one until the next sunrise', () => {
    const hotMs = sun.noonMs + 2 * HOUR_MS;
    const shape = outlookHours(OUTLOOK).map(({ startMs }) => {
      const ms = middle(startMs);
      if (ms >= riseMs && ms < hotMs) {
        return 0.5 - 0.5 * Math.cos((Math.PI * (ms - riseMs)) / (hotMs - riseMs));
      }
      const sinceMs = ms < riseMs ? ms + 24 * HOUR_MS - hotMs : ms - hotMs;
      return 0.5 + 0.5 * Math.cos((Math.PI * sinceMs) / (riseMs + 24 * HOUR_MS - hotMs));
    });
    const [least, most] = [Math.min(...shape), Math.max(...shape)];
    const temps = column(OUTLOOK, 'airTempC');
    for (const [hour, part] of shape.entries()) {
      expect(temps[hour]).toBeCloseTo(15 + (18 * (part - least)) / (most - least), 6);
    }
  });

  it('is coolest at the sun’s lowest stand where it never sets, and at six where it never rises', () => {
    const coolest = (outlook: DayOutlook) => {
      const temps = column(outlook, 'airTempC');
      return temps.indexOf(Math.min(...temps));
    };
    // Noon is close to 12:00 at the meridian.
    expect([23, 0]).toContain(coolest(polar(5)));
    expect([5, 6]).toContain(coolest(polar(11)));
  });

  it('shares the sun out by the hour’s radiation above the air', () => {
    const above = outlookHours(OUTLOOK).map(
      ({ startMs }) => sunOfHour({ ...OUTLOOK.place, startMs }).extraterrestrialMjPerM2,
    );
    const dayAbove = above.reduce((sum, value) => sum + value, 0);
    for (const [hour, value] of column(
      { ...OUTLOOK, solarMjPerM2: 20 },
      'solarMjPerM2',
    ).entries()) {
      expect(value).toBeCloseTo((20 * (above[hour] ?? 0)) / dayAbove, 9);
    }
    const total = (cloudFraction: number) =>
      column({ ...OUTLOOK, cloudFraction }, 'solarMjPerM2').reduce((sum, one) => sum + one, 0);
    // FAO-56, Eq. 35: a quarter under a closed sky, three quarters under an open one.
    expect(total(1)).toBeCloseTo(0.25 * dayAbove, 6);
    expect(total(0)).toBeCloseTo(0.75 * dayAbove, 6);
    expect(new Set(column(polar(11), 'solarMjPerM2'))).toEqual(new Set([0]));
  });
});

describe('the edges of what a day may be', () => {
  const making = (change: Partial<DayOutlook>) => () => outlookHours({ ...OUTLOOK, ...change });

  it.each<[string, Partial<DayOutlook>, Partial<DayOutlook>]>([
    ['the low', { lowC: -80 }, { lowC: -80.1 }],
    ['the high', { highC: 80 }, { highC: 80.1 }],
    ['a high of the low', { highC: 15 }, { highC: 14.9 }],
    ['the wind', { windMPerS: 120 }, { windMPerS: 120.1 }],
    ['no wind', { windMPerS: 0 }, { windMPerS: -0.1 }],
    ['the rain', { rainMm: 2000 }, { rainMm: 2001 }],
    ['no rain', { rainMm: 0 }, { rainMm: -0.1 }],
    ['cloud', { cloudFraction: 1 }, { cloudFraction: 1.01 }],
    ['no cloud', { cloudFraction: 0 }, { cloudFraction: -0.01 }],
    ['no sun', { solarMjPerM2: 0 }, { solarMjPerM2: -0.1 }],
    ['the dew point', { dewPointC: -80 }, { dewPointC: -80.1 }],
    ['a warm dew point', { dewPointC: 80 }, { dewPointC: 80.1 }],
    [
      'a short day',
      { dayEndMs: dayStartMs + 20 * HOUR_MS },
      { dayEndMs: dayStartMs + 19 * HOUR_MS },
    ],
    [
      'a long day',
      { dayEndMs: dayStartMs + 28 * HOUR_MS },
      { dayEndMs: dayStartMs + 29 * HOUR_MS },
    ],
    [
      'rain from the first instant to the last',
      { rainWindow: { startMs: dayStartMs, endMs: dayStartMs + 24 * HOUR_MS } },
      { rainWindow: { startMs: dayStartMs - 1, endMs: dayStartMs + 24 * HOUR_MS } },
    ],
    [
      'rain within the day',
      { rainWindow: { startMs: dayStartMs, endMs: dayStartMs + 1 } },
      { rainWindow: { startMs: dayStartMs, endMs: dayStartMs + 24 * HOUR_MS + 1 } },
    ],
    [
      'rain that lasts',
      { rainWindow: { startMs: dayStartMs, endMs: dayStartMs + 1 } },
      { rainWindow: { startMs: dayStartMs + 1, endMs: dayStartMs + 1 } },
    ],
  ])('are just within and just beyond: %s', (_, within, beyond) => {
    expect(making(within)).not.toThrow();
    expect(making(beyond)).toThrow(RangeError);
  });
});

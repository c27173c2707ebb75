import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { weatherFutures } from '../../../calc/futures/weather-futures.ts';
import { saturationKPa } from '../../../calc/sky/air.ts';
import { filledWeather } from '../../../calc/sky/missing-weather.ts';
import { outlookHours } from '../../../calc/sky/outlook-hours.ts';
import { referenceEtSeries } from '../../../calc/sky/reference-et.ts';
import { clearSkyMjPerM2 } from '../../../calc/sky/solar-radiation.ts';
import { sunOfHour } from '../../../calc/sky/sun-geometry.ts';
import type { EtHour, HourOrigin } from '../../../calc/sky/weather-hour.ts';

const HOUR_MS = 3_600_000;
const DAY_MS = 24 * HOUR_MS;

/** An invented day anywhere, twice over, foretold from some hour on. */
const invented = fc
  .record({
    latitudeDeg: fc.integer({ min: -65, max: 65 }),
    elevationM: fc.integer({ min: 0, max: 3000 }),
    month: fc.integer({ min: 0, max: 11 }),
    lowC: fc.integer({ min: -15, max: 30 }),
    rangeK: fc.integer({ min: 1, max: 22 }),
    drynessK: fc.integer({ min: 0, max: 25 }),
    windMPerS: fc.integer({ min: 0, max: 15 }),
    cloudFraction: fc.double({ min: 0, max: 1, noNaN: true }),
    rainMm: fc.integer({ min: 0, max: 20 }),
    asOfH: fc.integer({ min: 0, max: 47 }),
    origin: fc.constantFrom<HourOrigin>('forecast', 'carried', 'usual'),
  })
  .map(({ latitudeDeg, elevationM, month, lowC, rangeK, drynessK, asOfH, origin, ...rest }) => {
    const place = { latitudeDeg, longitudeDeg: 0, elevationM };
    const raw = [0, 1].flatMap((day) => {
      const dayStartMs = Date.UTC(2026, month, 10 + day);
      return outlookHours({
        ...rest,
        place,
        dayStartMs,
        dayEndMs: dayStartMs + DAY_MS,
        origin: 'observed',
        windHeightM: 2,
        lowC,
        highC: lowC + rangeK,
        dewPointC: lowC - drynessK,
      });
    });
    const { hours } = filledWeather({ hours: raw, place });
    const asOfMs = Date.UTC(2026, month, 10) + asOfH * HOUR_MS;
    const told = referenceEtSeries({ hours, place }).map(
      (hour): EtHour => (hour.startMs + HOUR_MS > asOfMs ? { ...hour, origin } : hour),
    );
    return { place, asOfMs, hours: told };
  });

const FIELDS = [
  'airTempC',
  'vapourPressureKPa',
  'windMPerS',
  'solarMjPerM2',
  'rainMm',
  'referenceEtMm',
  'wetNightEtMm',
] as const;

/** What cannot be of an hour of a member, in a word; null: nothing. */
function impossible(hour: EtHour, forecast: EtHour, mostSunMjPerM2: number): string | null {
  const { vapourPressureKPa, airTempC, solarMjPerM2, windMPerS, rainMm, referenceEtMm } = hour;
  const wrong = Object.entries({
    vapour: vapourPressureKPa > 0 && vapourPressureKPa <= saturationKPa(airTempC) + 1e-9,
    sun: solarMjPerM2 >= 0 && solarMjPerM2 <= mostSunMjPerM2 + 1e-9,
    wind: windMPerS >= 0,
    rain: rainMm >= 0 && (rainMm === 0 || forecast.rainMm > 0),
    et: Number.isFinite(referenceEtMm),
  }).filter(([, well]) => !well);
  return wrong[0]?.[0] ?? null;
}

describe('members', () => {
  it('are weather that can be, and their mean is the forecast', () => {
    fc.assert(
      fc.property(invented, (input) => {
        const { members } = weatherFutures(input);
        const wrong: string[] = [];
        input.hours.forEach((forecast, index) => {
          const hours = members.flatMap((member) => member.hours[index] ?? []);
          const sun = sunOfHour({ ...input.place, startMs: forecast.startMs });
          const clear = clearSkyMjPerM2({ ...sun, elevationM: input.place.elevationM });
          const mostSun = Math.max(clear, forecast.solarMjPerM2 / 0.97);
          if (hours.length !== 24) wrong.push(`${index}: ${hours.length} members`);
          for (const hour of hours) {
            const what = impossible(hour, forecast, mostSun);
            if (what !== null) wrong.push(`${index}: ${what}`);
          }
          for (const field of FIELDS) {
            const mean = hours.reduce((sum, hour) => sum + hour[field], 0) / hours.length;
            if (Math.abs(mean - forecast[field]) > 1e-6) wrong.push(`${index}: mean of ${field}`);
          }
        });
        expect(wrong).toEqual([]);
      }),
      { numRuns: 20 },
    );
  });
});

import { describe, expect, it } from 'vitest';
import { sunCheck } from '../../../adapters/weather/station-table.ts';
import { sunOfHour } from '../../../calc/sky/sun-geometry.ts';
import type { RawHour } from '../../../calc/sky/weather-hour.ts';
import { at, HOUR_MS } from './weather-folder.ts';

const place = { latitudeDeg: 40, longitudeDeg: -119 };

/** Invented clear days whose sun is told so many hours late. */
function days(count: number, { lateH, share }: { lateH: number; share: number }): RawHour[] {
  return Array.from({ length: count * 24 }, (_, index) => {
    const startMs = at('2026-07-01T00:00:00-08:00') + index * HOUR_MS;
    const sun = sunOfHour({ ...place, startMs: startMs - lateH * HOUR_MS });
    return {
      startMs,
      origin: 'observed',
      airTempC: 20,
      dewPointC: null,
      relativeHumidityPct: null,
      windMPerS: null,
      windHeightM: 2,
      solarMjPerM2: share * sun.extraterrestrialMjPerM2,
      rainMm: null,
    };
  });
}

describe('sunCheck', () => {
  it('is content with a sun in its place, with half a clock hour, and with clouds', () => {
    expect(sunCheck(days(4, { lateH: 0, share: 0.75 }), place, 'f')).toEqual([]);
    expect(sunCheck(days(4, { lateH: 0.4, share: 0.75 }), place, 'f')).toEqual([]);
    expect(sunCheck(days(4, { lateH: 1, share: 0.5 }), place, 'f')).toEqual([]);
    expect(sunCheck(days(1, { lateH: 1, share: 0.75 }), place, 'f')).toEqual([]);
    expect(sunCheck([], place, 'f')).toEqual([]);
  });

  it.each([
    [1, '60 min later'],
    [-1, '60 min earlier'],
  ])('names a clock that is wrong by %i h', (lateH, got) => {
    expect(sunCheck(days(6, { lateH, share: 0.75 }), place, 'f')).toEqual([
      {
        where: 'f',
        what: `the sun's radiation does not come when the sun stands there (got it ${got} on 6 clear days)`,
        done: 'used as it is; check zone and stamps in the config',
      },
    ]);
  });
});

import { describe, expect, it } from 'vitest';
import { DAY_TO_DAY } from '../../../calc/futures/forecast-errors.ts';
import { spreadOfDays } from '../../../calc/futures/spread-of-days.ts';
import { weatherFutures } from '../../../calc/futures/weather-futures.ts';
import { foretoldFrom, packagedDays } from './packaged-days.ts';

const HOUR_MS = 3_600_000;
const DAY_MS = 24 * HOUR_MS;
const { place, hours: all } = packagedDays('Seattle', { fromMs: Date.UTC(2013, 6, 1), days: 31 });
// Whole mean solar days: midnight there is nine minutes past the hour.
const hours = all.slice(1, 1 + 30 * 24);

describe('how far one day is from the next', () => {
  it('is usual where no days are known', () => {
    expect(spreadOfDays([], place)).toEqual(DAY_TO_DAY);
    expect(spreadOfDays(hours.slice(0, 24), place)).toEqual(DAY_TO_DAY);
    expect(spreadOfDays(foretoldFrom(hours, 0), place)).toEqual(DAY_TO_DAY);
  });

  it('is that of the days, shrunk to the usual one', () => {
    // Nine days that swing by 4 K: eight steps of 4 K and ten of the usual 3 K.
    const swinging = hours.slice(0, 9 * 24).map((hour, index) => ({
      ...hour,
      airTempC: Math.floor(index / 24) % 2 === 0 ? 18 : 22,
    }));
    const { airTempK } = spreadOfDays(swinging, place);
    expect(airTempK).toBeCloseTo(Math.sqrt((8 * 16 + 10 * DAY_TO_DAY.airTempK ** 2) / 18), 9);
    const same = hours.map((hour, index) => ({ ...hour, ...likeFirst(index) }));
    const still = spreadOfDays(same, place);
    expect(still.windLog).toBeCloseTo(DAY_TO_DAY.windLog * Math.sqrt(10 / 39), 9);
    expect(still.sunFraction).toBeCloseTo(DAY_TO_DAY.sunFraction * Math.sqrt(10 / 39), 9);
  });

  it('widens and narrows the futures of a day that another stands in for', () => {
    const asOfMs = (hours[0]?.startMs ?? 0) + 28 * DAY_MS + 5 * HOUR_MS;
    const carried = foretoldFrom(hours.slice(-48), asOfMs, 'carried');
    const airSpread = (earlierDays: typeof hours) => {
      const { members } = weatherFutures({ hours: carried, place, asOfMs, earlierDays });
      const air = members.map((member) => member.hours[20]?.airTempC ?? 0);
      const mean = air.reduce((sum, one) => sum + one, 0) / air.length;
      return Math.sqrt(air.reduce((sum, one) => sum + (one - mean) ** 2, 0) / air.length);
    };
    const same = hours.slice(0, 27 * 24).map((hour, index) => ({ ...hour, ...likeFirst(index) }));
    expect(airSpread(same)).toBeLessThan(0.7 * airSpread([]));
  });
});

/** The same hour of the first day, at its own instant. */
function likeFirst(index: number) {
  const { startMs: _, ...rest } = hours[index % 24] ?? { startMs: 0 };
  return rest;
}

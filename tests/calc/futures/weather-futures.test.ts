import { describe, expect, it } from 'vitest';
import { weatherFutures } from '../../../calc/futures/weather-futures.ts';
import type { EtHour, SitePlace } from '../../../calc/sky/weather-hour.ts';
import { etBetween, fallonDay, foretoldFrom, packagedDays } from './packaged-days.ts';

const HOUR_MS = 3_600_000;
const DAY_MS = 24 * HOUR_MS;

/** Three days: one measured, then foretold from five in the morning. */
function days(name: 'Seattle' | 'New York', fromMs: number) {
  const { place, hours } = packagedDays(name, { fromMs, days: 3 });
  const dayMs = (hours[0]?.startMs ?? 0) + DAY_MS;
  const asOfMs = dayMs + 5 * HOUR_MS;
  return { place, asOfMs, dayMs, hours: foretoldFrom(hours, asOfMs) };
}

/** Relative spread of the day's reference ET over the members, and mean. */
function dayOf(input: { hours: EtHour[]; place: SitePlace; asOfMs: number }, fromMs: number) {
  const { members, basis } = weatherFutures(input);
  const span = { fromMs, toMs: fromMs + DAY_MS };
  const sums = members.map(({ hours }) => etBetween(hours, span));
  const forecastMm = etBetween(input.hours, span);
  const meanMm = sums.reduce((sum, one) => sum + one, 0) / sums.length;
  const square = sums.reduce((sum, one) => sum + (one - meanMm) ** 2, 0) / sums.length;
  return { basis, sums, forecastMm, meanMm, spread: Math.sqrt(square) / forecastMm };
}

const SUMMER = Array.from({ length: 6 }, (_, index) => Date.UTC(2013, 4, 10 + index * 22));
const rootMean = (values: number[]) =>
  Math.sqrt(values.reduce((sum, one) => sum + one ** 2, 0) / values.length);

describe('futures of the weather', () => {
  const july = days('Seattle', Date.UTC(2013, 6, 10));

  it('are as many as asked for, of equal weight that sums to one, the least ET first', () => {
    const { members, basis } = weatherFutures(july);
    expect(basis).toBe('published');
    expect(members).toHaveLength(24);
    expect(members.reduce((sum, one) => sum + one.weightFraction, 0)).toBeCloseTo(1, 12);
    expect(weatherFutures({ ...july, count: 7 }).members).toHaveLength(7);
    const { sums } = dayOf(july, july.dayMs);
    // Ordered by a first-order estimate: neighbours may change places, thirds may not.
    expect(Math.max(...sums.slice(0, 8))).toBeLessThan(Math.min(...sums.slice(16)));
  });

  it('are the same whenever they are asked for', () => {
    expect(weatherFutures(july)).toEqual(weatherFutures(july));
  });

  it('share what was measured', () => {
    for (const { hours } of weatherFutures(july).members) {
      expect(hours).toHaveLength(july.hours.length);
      hours.forEach((hour, index) => {
        const forecast = july.hours[index];
        expect(hour.startMs).toBe(forecast?.startMs);
        expect(hour.origin).toBe(forecast?.origin);
        if (hour.startMs + HOUR_MS <= july.asOfMs) expect(hour).toEqual(forecast);
      });
    }
    const past = foretoldFrom(july.hours, july.asOfMs, 'observed');
    for (const { hours } of weatherFutures({ ...july, hours: past }).members) {
      expect(hours).toEqual(past);
    }
  });

  it('grow apart from the measured hour on', () => {
    const { members } = weatherFutures(july);
    const first = july.hours.findIndex(({ origin }) => origin === 'forecast');
    const spreadAt = (index: number) => {
      const air = members.map(({ hours }) => hours[index]?.airTempC ?? 0);
      const mean = air.reduce((sum, one) => sum + one, 0) / air.length;
      return rootMean(air.map((one) => one - mean));
    };
    expect(spreadAt(first)).toBeGreaterThan(0.5);
    expect(spreadAt(first)).toBeLessThan(0.8 * spreadAt(first + 2));
    // 1.7 K and a wobble of a third of it, drawn 1.25 times as large: 2.24 K, of 24 members.
    const full = [8, 12, 16, 20, 24, 28, 32].map((aheadH) => spreadAt(first + aheadH));
    expect(rootMean(full)).toBeGreaterThan(1.7);
    expect(rootMean(full)).toBeLessThan(2.6);
  });

  it('last: an hour that is too warm at ten is so at four', () => {
    const { members } = weatherFutures(july);
    const at = (hour: number) =>
      july.hours.findIndex((one) => one.startMs === july.dayMs + hour * HOUR_MS);
    const departures = (index: number) =>
      members.map(
        ({ hours }) => (hours[index]?.airTempC ?? 0) - (july.hours[index]?.airTempC ?? 0),
      );
    const [ten, four] = [departures(at(10)), departures(at(16))];
    const product = ten.reduce((sum, one, member) => sum + one * (four[member] ?? 0), 0);
    const correlation = product / (ten.length * rootMean(ten) * rootMean(four));
    expect(correlation).toBeGreaterThan(0.75);
  });

  it('rain in most members where rain is foretold, stay dry where none is, and keep the sum', () => {
    const wet = july.hours.map((hour) => {
      const isWet =
        hour.startMs >= july.dayMs + 12 * HOUR_MS && hour.startMs < july.dayMs + 15 * HOUR_MS;
      return { ...hour, rainMm: isWet ? 2 : 0 };
    });
    const sums = (chance?: number) =>
      weatherFutures({
        ...july,
        hours: wet.map((hour) =>
          chance === undefined ? hour : { ...hour, rainChanceFraction: chance },
        ),
      }).members.map(({ hours }) => hours.reduce((sum, one) => sum + one.rainMm, 0));
    const usual = sums();
    expect(usual.filter((mm) => mm > 0).length).toBeGreaterThanOrEqual(18);
    expect(usual.filter((mm) => mm === 0).length).toBeGreaterThanOrEqual(3);
    expect(usual.reduce((sum, mm) => sum + mm, 0) / 24).toBeCloseTo(6, 9);
    // Half of the members at an even chance, give or take one.
    expect(Math.abs(sums(0.5).filter((mm) => mm > 0).length - 12)).toBeLessThanOrEqual(1);
    expect(sums(1).filter((mm) => mm > 0)).toHaveLength(24);
    // Rain with no chance at all is not counted on.
    expect(sums(0)).toEqual(new Array(24).fill(0));
    const dry = july.hours.map((hour) => ({ ...hour, rainMm: 0 }));
    for (const { hours } of weatherFutures({ ...july, hours: dry }).members) {
      expect(hours.every(({ rainMm }) => rainMm === 0)).toBe(true);
    }
  });

  it('refuse a number of members that is none', () => {
    for (const count of [0, 2.5, -1, 201, Number.NaN]) {
      expect(() => weatherFutures({ ...july, count })).toThrow(RangeError);
    }
    expect(weatherFutures({ ...july, hours: [] }).members[0]?.hours).toEqual([]);
  });
});

describe('spread of a day’s reference ET', () => {
  // Relative RMSE of day-ahead forecasts in summer: 13 to 20 % after statistical correction (Medina &
  // Tian 2020, HESS 24:1011, abstract), 17 to 24 % with raw errors of these sizes.
  it.each([
    ['Seattle', 0.13, 0.24],
    ['New York', 0.13, 0.24],
  ] as const)('is that of published day-ahead errors at %s', (name, least, most) => {
    // As published: root mean square error over the mean, both of all days.
    const told = SUMMER.map((fromMs) => {
      const input = days(name, fromMs);
      return dayOf(input, input.dayMs);
    });
    const meanMm = told.reduce((sum, { forecastMm }) => sum + forecastMm, 0) / told.length;
    const spread = rootMean(told.map((one) => one.spread * one.forecastMm)) / meanMm;
    expect(spread).toBeGreaterThan(least);
    expect(spread).toBeLessThan(most);
  });

  it('is smaller under the clear sky of a desert, where the sun cannot be stronger', () => {
    // Errors of this size put by hand on Fallon from May to September, held below a clear sky: 9.1 %
    // about their mean; drawn 1.25 times as large, and the sun of single days differs.
    const { place, hours } = fallonDay();
    const asOfMs = (hours[0]?.startMs ?? 0) + 6 * HOUR_MS;
    const told = { place, asOfMs, hours: foretoldFrom(hours, asOfMs), count: 200 };
    const { spread } = dayOf(told, asOfMs);
    expect(spread).toBeGreaterThan(0.08);
    expect(spread).toBeLessThan(0.13);
  });

  it('is larger by half and more where yesterday stands in', () => {
    for (const name of ['Seattle', 'New York'] as const) {
      const input = days(name, Date.UTC(2013, 6, 10));
      const carried = foretoldFrom(input.hours, input.asOfMs, 'carried');
      const told = dayOf(input, input.dayMs);
      const stands = dayOf({ ...input, hours: carried }, input.dayMs);
      expect(stands.basis).toBe('spread_of_days');
      expect(stands.spread / told.spread).toBeGreaterThan(1.5);
      expect(stands.spread / told.spread).toBeLessThan(2.3);
    }
  });

  it('has the same mean as the forecast', () => {
    for (const fromMs of SUMMER.slice(0, 4)) {
      const input = days('New York', fromMs);
      const { forecastMm, meanMm } = dayOf(input, input.dayMs);
      expect(meanMm).toBeCloseTo(forecastMm, 9);
    }
  });

  it('has with 24 members the quantiles that 200 have', () => {
    // A tenth of the members lies beyond 5 and 95 % together: of 24, the outermost on either side.
    const input = days('Seattle', Date.UTC(2013, 6, 10));
    const quantile = (sums: number[], part: number) => {
      const sorted = [...sums].sort((a, b) => a - b);
      const at = part * sorted.length - 0.5;
      const below = sorted[Math.floor(at)] ?? 0;
      return below + (at - Math.floor(at)) * ((sorted[Math.ceil(at)] ?? 0) - below);
    };
    const few = dayOf(input, input.dayMs).sums;
    const many = dayOf({ ...input, ...{ count: 200 } }, input.dayMs).sums;
    const band = quantile(many, 0.95) - quantile(many, 0.05);
    for (const part of [0.05, 0.25, 0.5, 0.75, 0.95]) {
      expect(Math.abs(quantile(few, part) - quantile(many, part)) / band).toBeLessThan(0.08);
    }
  });
});

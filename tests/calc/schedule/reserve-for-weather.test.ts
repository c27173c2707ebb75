import { describe, expect, it } from 'vitest';
import { planDay } from '../../../calc/schedule/plan-day.ts';
import { reserveForWeather } from '../../../calc/schedule/plan-weather.ts';
import type { EtHour, HourOrigin } from '../../../calc/sky/weather-hour.ts';
import { identicalBeds } from '../../bench/big-site.ts';

const input = identicalBeds(1);
const from = (origin: HourOrigin, before = 0): EtHour[] =>
  input.hours.map((hour, index) => (index >= before ? { ...hour, origin } : hour));

describe('reserveForWeather', () => {
  it.each<HourOrigin>(['forecast', 'observed', 'usual'])(
    'leaves it alone with %s hours',
    (origin) => {
      expect(reserveForWeather(0.2, from(origin))).toBe(0.2);
    },
  );

  it('keeps half as much again where an earlier day stands in, less where it does so in part', () => {
    expect(reserveForWeather(0.2, from('carried'))).toBeCloseTo(0.3, 9);
    const part = reserveForWeather(0.2, from('carried', 8));
    expect(part).toBeGreaterThan(0.2);
    expect(part).toBeLessThan(0.3);
  });

  it('stays within bounds, and without a loss is the site’s own', () => {
    expect(reserveForWeather(0.7, from('carried'))).toBe(0.8);
    expect(reserveForWeather(0.2, [])).toBe(0.2);
  });

  it('brings a plan on carried weather to water sooner', () => {
    const firstOf = (origin: HourOrigin) => {
      const plan = planDay({ ...input, hours: from(origin) });
      return { atMs: plan.runs[1]?.startMs ?? 0, reserveMm: plan.beds[0]?.reserveMm ?? 0 };
    };
    const carried = firstOf('carried');
    const told = firstOf('forecast');
    expect(carried.reserveMm).toBeCloseTo(1.5 * told.reserveMm, 9);
    expect(carried.atMs).toBeLessThanOrEqual(told.atMs);
  });
});

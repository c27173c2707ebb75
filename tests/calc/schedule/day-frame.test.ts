import { describe, expect, it } from 'vitest';
import { planDay } from '../../../calc/schedule/plan-day.ts';
import { dayFrame } from '../../../calc/schedule/water-hours.ts';
import { SMALL_DAY_MS, smallDay } from '../../small-day.ts';

const MIN_MS = 60_000;
const DAY_MS = 24 * 60 * MIN_MS;

/** Minutes in which water may run, on a day that begins at the sun's midnight at 0° of longitude. */
function windowMin(latitudeDeg: number, day: string): number {
  const { site } = smallDay({});
  const dayStartMs = Date.parse(`${day}T00:00:00Z`);
  const { window } = dayFrame({
    site: { ...site, latitudeDeg, longitudeDeg: 0 },
    dayStartMs,
    nextDayStartMs: dayStartMs + DAY_MS,
    afterNextDayStartMs: dayStartMs + 2 * DAY_MS,
  });
  return (window.lastEndMs - window.firstStartMs) / MIN_MS;
}

describe('the hours of water over the latitudes', () => {
  // Near the circle the day grows as the square root of the way: a hundredth of a degree is worth
  // sqrt(2 tan(23.4°)/cos²(66°) 0.01°) of hour angle, 7 min on each side of noon, and more nearer
  // to the poles. What has to be gone is a leap of hours.
  it.each(['2026-06-21', '2026-05-20', '2026-12-21', '2026-03-20'])(
    'never leap from one to the next, on %s',
    (day) => {
      let before = windowMin(-89, day);
      for (let latitude = -88.99; latitude <= 89; latitude += 0.01) {
        const now = windowMin(latitude, day);
        expect(Math.abs(now - before), `at ${latitude.toFixed(2)}`).toBeLessThan(45);
        before = now;
      }
    },
  );

  it('are the whole day less the usual margins where the sun does not set', () => {
    // 60 min before the sunset, and 30 min after the sunrise that do not come; the sun's noon is two
    // minutes off.
    const { site } = smallDay({});
    const { firstAfterSunriseMin, lastBeforeSunsetMin } = site.limits;
    const whole = 24 * 60 - firstAfterSunriseMin - lastBeforeSunsetMin;
    expect(Math.abs(windowMin(70, '2026-06-21') - whole)).toBeLessThan(5);
    expect(windowMin(70, '2026-12-21')).toBeLessThanOrEqual(0);
  });

  it('leave a plan of a day without night and one without day', () => {
    for (const day of ['2026-06-21', '2026-12-21']) {
      const input = smallDay({});
      const shiftMs = Date.parse(`${day}T00:00:00-07:00`) - SMALL_DAY_MS;
      const moved = (hour: (typeof input.hours)[number]) => ({
        ...hour,
        startMs: hour.startMs + shiftMs,
      });
      const plan = planDay({
        ...input,
        site: { ...input.site, latitudeDeg: 70 },
        siteDay: day,
        dayStartMs: input.dayStartMs + shiftMs,
        nextDayStartMs: input.nextDayStartMs + shiftMs,
        afterNextDayStartMs: input.afterNextDayStartMs + shiftMs,
        madeAtMs: input.madeAtMs + shiftMs,
        startMs: input.startMs + shiftMs,
        firstRunMs: input.firstRunMs + shiftMs,
        hours: input.hours.map(moved),
        hoursBefore: (input.hoursBefore ?? []).map(moved),
      });
      expect(plan.sunriseMs).toBeNull();
      if (day.startsWith('2026-06')) expect(plan.runs.length).toBeGreaterThan(0);
      else expect(plan.runs).toEqual([]);
    }
  });
});

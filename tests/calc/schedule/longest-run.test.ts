import { describe, expect, it } from 'vitest';
import type { DayPlanInput } from '../../../calc/schedule/plan-day.ts';
import { planDay } from '../../../calc/schedule/plan-day.ts';
import { toldOf } from '../../reader.ts';
import { smallDay } from '../../small-day.ts';

/** The invented day with stations of another rate, and a longest run. */
function dayOf(given: { rateMmPerH: number; mostRunS?: number }): DayPlanInput {
  const day = smallDay({});
  const { rateMmPerH, mostRunS = 1800 } = given;
  return {
    ...day,
    site: {
      ...day.site,
      stations: day.site.stations.map((station) => ({
        ...station,
        precipitationRateMmPerH: rateMmPerH,
      })),
      limits: { ...day.site.limits, mostRunS },
    },
  };
}

describe('the longest run', () => {
  it('caps every run of a plan', () => {
    const longest = (day: DayPlanInput) => Math.max(...planDay(day).runs.map((run) => run.runS));
    expect(longest(dayOf({ rateMmPerH: 2, mostRunS: 14_400 }))).toBeGreaterThan(600);
    expect(longest(dayOf({ rateMmPerH: 2, mostRunS: 600 }))).toBe(600);
  });

  it('is told where it ends a cycle, and so are many rotations, with what makes them', () => {
    const told = (day: DayPlanInput) => toldOf(planDay(day), 'long_runs');
    expect(told(dayOf({ rateMmPerH: 18 }))).toEqual([]);
    expect(told(dayOf({ rateMmPerH: 2, mostRunS: 600 }))[0]).toBe(
      'Bed 1 (invented): a cycle takes up to 5 rotations (10 min) for 0.33 mm, because one of 120 s brings 0.07 mm at the rate of station bed-1-a, 2.00 mm an hour. It ends at the longest run, 10 min. Check that rate, or raise most_run.',
    );
    expect(told(dayOf({ rateMmPerH: 3, mostRunS: 3600 }))[0]).toMatch(
      /^Bed 1 \(invented\): a cycle takes up to \d+ rotations \(\d+ min\) for .* 0\.10 mm at the rate of station bed-1-a, 3\.00 mm an hour\. Check that rate\.$/,
    );
  });
});

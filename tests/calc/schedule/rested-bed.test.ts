import { describe, expect, it } from 'vitest';
import { planDay } from '../../../calc/schedule/plan-day.ts';
import { smallDay } from '../../small-day.ts';

describe('a bed that was watered just before a plan is made', () => {
  it('has its rest before the next cycle, whatever the plan was made for', () => {
    const input = smallDay({});
    const sunriseMs = planDay(input).sunriseMs ?? 0;
    const startMs = sunriseMs + 4 * 3_600_000;
    const day = {
      ...input,
      startMs,
      firstRunMs: startMs,
      statesNow: new Map([['bed-1', { storeMm: 0.1 }]]),
    };
    const firstMs = (bedEndsMs: ReadonlyMap<string, number>) =>
      planDay({
        ...day,
        ranBefore: { dayL: 0, seasonL: 0, pumpStoppedMs: null, bedEndsMs },
      }).runs.find((run) => run.bedId === 'bed-1')?.startMs ?? 0;
    const endedMs = startMs - 5 * 60_000;
    const restMs = input.site.limits.restMin * 60_000;
    expect(firstMs(new Map())).toBeLessThan(endedMs + restMs);
    expect(firstMs(new Map([['bed-1', endedMs]]))).toBeGreaterThanOrEqual(endedMs + restMs);
  });
});

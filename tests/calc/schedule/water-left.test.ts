import { describe, expect, it } from 'vitest';
import { type RanBefore, waterLeft, waterOfRuns } from '../../../calc/schedule/allowances.ts';
import { planDay } from '../../../calc/schedule/plan-day.ts';
import type { Limits } from '../../../calc/schedule/site.ts';
import { smallDay } from '../../small-day.ts';

describe('waterLeft', () => {
  it.each([
    // day, season, used of the day, used of the season: which binds, and what it leaves
    [null, null, 10, 20, 'allowance', Infinity],
    [1000, null, 300, 900, 'allowance', 700],
    [1000, 5000, 300, 4600, 'season_allowance', 400],
    [1000, 5000, 700, 4600, 'allowance', 300],
    [null, 5000, 0, 5200, 'season_allowance', -200],
  ] as const)('of %s a day and %s a season', (day, season, dayL, seasonL, kind, left) => {
    const limits = { dayAllowanceL: day, seasonAllowanceL: season };
    expect(waterLeft(limits, { dayL, seasonL })).toEqual({ limit: { kind }, allowedL: left });
  });
});

describe('a plan under allowances', () => {
  const plan = (limits: Partial<Limits>, ranBefore?: RanBefore) => {
    const day = smallDay({});
    return planDay({
      ...day,
      site: {
        ...day.site,
        limits: { ...day.site.limits, dayAllowanceL: null, seasonAllowanceL: null, ...limits },
      },
      ...(ranBefore === undefined ? {} : { ranBefore }),
    });
  };
  const waterOf = (of: ReturnType<typeof plan>) => waterOfRuns(smallDay({}).site, of.runs);
  const freeL = waterOf(plan({}));

  it('binds by the season, names it, and shows what is used, planned and left', () => {
    const short = plan(
      { seasonAllowanceL: 10_000 + freeL / 2 },
      { dayL: 0, seasonL: 10_000, pumpStoppedMs: null },
    );
    expect(waterOf(short)).toBeLessThanOrEqual(freeL / 2 + 1e-6);
    expect(waterOf(short)).toBeGreaterThan(freeL / 4);
    expect(short.shortages.map((one) => one.cause.kind)).toContain('season_allowance');
    expect(short.seasonWater?.usedL).toBe(10_000);
    expect(short.seasonWater?.plannedL).toBeCloseTo(waterOf(short), 6);
    expect(short.seasonWater?.leftL).toBeCloseTo(freeL / 2 - waterOf(short), 6);
  });

  it('changes nothing while the season has enough left', () => {
    const { seasonWater, ground, ...rest } = plan(
      { seasonAllowanceL: 1e9 },
      { dayL: 0, seasonL: 5, pumpStoppedMs: null },
    );
    expect(seasonWater?.leftL).toBeCloseTo(1e9 - 5 - freeL, 3);
    expect(ground?.limits.seasonAllowanceL).toBe(1e9);
    const { ground: _, ...free } = plan({});
    expect(rest).toEqual(free);
  });

  it('counts what ran today against the day', () => {
    const dayAllowanceL = freeL;
    expect(waterOf(plan({ dayAllowanceL }))).toBeCloseTo(freeL, 6);
    const late = plan({ dayAllowanceL }, { dayL: freeL / 2, seasonL: 0, pumpStoppedMs: null });
    expect(waterOf(late)).toBeLessThanOrEqual(freeL / 2 + 1e-6);
    expect(late.shortages.map((one) => one.cause.kind)).toContain('allowance');
  });
});

import { describe, expect, it } from 'vitest';
import type { DayPlan } from '../../../calc/schedule/day-plan.ts';
import { type DayPlanInput, planDay } from '../../../calc/schedule/plan-day.ts';
import type { Limits } from '../../../calc/schedule/site.ts';
import { formerCycles } from '../../../daemon/planning/propose-plan.ts';
import { inventedDay } from '../../plans/invented-day.ts';

/** Limits that a person may relax in the course of a day. */
const RELAXED: Record<string, (limits: Limits) => Partial<Limits>> = {
  'a pump 10 % stronger': ({ pumpFlowLPerMin }) => ({ pumpFlowLPerMin: pumpFlowLPerMin * 1.1 }),
  'mains 10 % larger': ({ mains }) => ({
    mains: mains.map((main) => ({ ...main, flowLPerMin: main.flowLPerMin * 1.1 })),
  }),
  'one more station at once': ({ stationsAtOnce }) => ({ stationsAtOnce: stationsAtOnce + 1 }),
  'a rest 5 min shorter': ({ restMin }) => ({ restMin: Math.max(0, restMin - 5) }),
  'a last end 30 min later': ({ lastBeforeSunsetMin }) => ({
    lastBeforeSunsetMin: lastBeforeSunsetMin - 30,
  }),
  'an allowance 10 % larger': ({ dayAllowanceL }) => ({
    dayAllowanceL: dayAllowanceL === null ? null : dayAllowanceL * 1.1,
  }),
};

const SMALL = { leastBeds: 3, mostBeds: 6 };
/** On the last of them a fresh plan with one more station at once is drier than the one before. */
const SITES = [
  ...[706, 708, 711, 713].map((seed) => ({ seed, span: SMALL })),
  { seed: 700, span: { leastBeds: 3, mostBeds: 10 } },
];

function dryMin({ shortages }: DayPlan): number {
  return shortages.reduce((sum, one) => sum + one.minutesBelowDryLimit, 0);
}

describe.each(SITES)(
  'the short day of invented site $seed, with a plan in force',
  ({ seed, span }) => {
    const input: DayPlanInput = {
      ...inventedDay(seed, span),
      isSketch: true,
    };
    const plan = planDay(input);
    const former = formerCycles(null, { cause: 'person', plan }, input.firstRunMs);

    it.each(Object.entries(RELAXED))('is no drier with %s', (_, relax) => {
      expect(dryMin(plan)).toBeGreaterThan(0);
      const limits = { ...input.site.limits, ...relax(input.site.limits) };
      const relaxed = planDay({ ...input, former, site: { ...input.site, limits } });
      expect(dryMin(relaxed)).toBeLessThanOrEqual(dryMin(plan));
    });
  },
);

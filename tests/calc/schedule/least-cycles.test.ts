import { describe, expect, it } from 'vitest';
import { STAGES } from '../../../calc/growth/stages.ts';
import { bedStores } from '../../../calc/schedule/bed-stores.ts';
import { planDay } from '../../../calc/schedule/plan-day.ts';
import type { Bed } from '../../../calc/schedule/site.ts';
import { bigSite } from '../../bench/big-site.ts';

const HOUR_MS = 3_600_000;
const noModel = () => {
  throw new Error('every invented bed here has stated figures');
};

/** An invented day of a bed that could do without water for days. */
function deepDay(given: { leastCycles: number; stage?: Bed['stage']; lossFraction?: number }) {
  const { leastCycles, stage = 'germination', lossFraction = 1 } = given;
  const day = bigSite(1);
  const beds = day.site.beds.map((bed) => ({
    ...bed,
    stage,
    sand: { ...bed.sand, stated: { capacityMm: 24, feedMmPerH: 0 } },
  }));
  const stores = bedStores(beds, STAGES, noModel);
  const full = stores.get('green-1')?.full ?? {};
  return planDay({
    ...day,
    site: { ...day.site, beds, limits: { ...day.site.limits, pumpFlowLPerMin: 1000, leastCycles } },
    stores,
    statesNow: new Map([['green-1', full]]),
    hours: day.hours.map((hour) => ({
      ...hour,
      referenceEtMm: hour.referenceEtMm * lossFraction,
    })),
  });
}

const cyclesOf = (plan: ReturnType<typeof planDay>) => plan.beds[0]?.cycles ?? [];

describe('a seedbed on a sand that would last for days', () => {
  it('gets its least number of cycles, apart from each other, none of which drains', () => {
    const plan = deepDay({ leastCycles: 4 });
    const cycles = cyclesOf(plan);
    expect(cycles).toHaveLength(4);
    const gapsH = cycles
      .slice(1)
      .map((one, at) => (one.startMs - (cycles[at]?.endMs ?? 0)) / HOUR_MS);
    expect(Math.min(...gapsH)).toBeGreaterThan(0.75);
    expect(plan.beds[0]?.drainedMm).toBeLessThan(0.01);
    for (const { reasons } of cycles)
      expect(reasons[0]).toEqual({ code: 'least_cycles', cycles: 4 });
  });

  it('gets as few as it needs where a person says so, and once it has emerged', () => {
    expect(cyclesOf(deepDay({ leastCycles: 0 }))).toHaveLength(0);
    expect(cyclesOf(deepDay({ leastCycles: 4, stage: 'emergence' }))).toHaveLength(0);
  });

  it('gets fewer on a day that hardly dries it, and none on one that does not', () => {
    const few = cyclesOf(deepDay({ leastCycles: 4, lossFraction: 0.3 })).length;
    expect(few).toBeGreaterThan(0);
    expect(few).toBeLessThan(4);
    expect(cyclesOf(deepDay({ leastCycles: 4, lossFraction: 0.05 }))).toHaveLength(0);
  });

  it('never has fewer than a bed that needs more', () => {
    const day = bigSite(3);
    const { site } = day;
    const asked = planDay({
      ...day,
      site: { ...site, limits: { ...site.limits, leastCycles: 4 } },
    });
    expect(asked.runs).toEqual(planDay(day).runs);
  });
});

import { describe, expect, it } from 'vitest';
import { STAGES } from '../../../calc/growth/stages.ts';
import { advanceStores } from '../../../calc/schedule/bed-stores.ts';
import type { DayPlan } from '../../../calc/schedule/day-plan.ts';
import type { FormerCycle } from '../../../calc/schedule/former-places.ts';
import { type DayPlanInput, planDay } from '../../../calc/schedule/plan-day.ts';
import { bigSite } from '../../bench/big-site.ts';

const HOUR_MS = 3_600_000;
const MORNING = bigSite(18);
const NOON_MS = MORNING.dayStartMs + 11 * HOUR_MS;

/** The invented day planned anew at eleven, after the morning ran as it was planned. */
function atEleven(
  morning: DayPlan,
  change: Partial<DayPlanInput> = {},
): { input: DayPlanInput; former: FormerCycle[] } {
  const { site, stores, hours } = MORNING;
  const statesNow = advanceStores({
    site,
    stages: STAGES,
    stores,
    statesBefore: new Map(morning.beds.map((bed) => [bed.bedId, bed.state])),
    fromMs: morning.startMs,
    toMs: NOON_MS,
    hours,
    runs: morning.runs,
  });
  const toCome = (bed: DayPlan['beds'][number]) =>
    bed.cycles.filter((cycle) => cycle.startMs >= NOON_MS);
  const former = morning.beds.flatMap((bed) =>
    toCome(bed).map(({ cycle, startMs }) => ({
      bedId: bed.bedId,
      startMs,
      runs: morning.runs.filter((run) => run.bedId === bed.bedId && run.cycle === cycle),
    })),
  );
  const kept = morning.beds.flatMap((bed) =>
    bed.cycles
      .filter((cycle) => cycle.startMs < NOON_MS && cycle.endMs > NOON_MS)
      .map((cycle) => ({
        ...cycle,
        bedId: bed.bedId,
        runs: morning.runs.filter((run) => run.bedId === bed.bedId && run.cycle === cycle.cycle),
      })),
  );
  return {
    input: { ...MORNING, startMs: NOON_MS, firstRunMs: NOON_MS, statesNow, kept, ...change },
    former,
  };
}

const startsOf = (plan: DayPlan) =>
  plan.beds
    .flatMap((bed) => bed.cycles.map((cycle) => `${bed.bedId} ${cycle.startMs}`))
    .filter((one) => Number(one.split(' ')[1]) >= NOON_MS)
    .sort();

const inBoth = (a: readonly string[], b: readonly string[]) =>
  a.filter((one) => b.includes(one)).length;

describe('a day planned anew at eleven', () => {
  const morning = planDay(MORNING);

  it('keeps every cycle in its place when nothing has changed', () => {
    const { input, former } = atEleven(morning);
    const anew = planDay({ ...input, former });
    expect(startsOf(anew)).toEqual(startsOf(morning));
    expect(startsOf(anew).length).toBeGreaterThan(40);
  });

  it('moves only what it must when a crew comes to one bed', () => {
    const keepOff = {
      bedId: 'green-4',
      startMs: NOON_MS + 2 * HOUR_MS,
      endMs: NOON_MS + 3 * HOUR_MS,
      why: 'visitors',
    };
    const { input, former } = atEleven(morning, { keepOffs: [keepOff] });
    const others = (plan: DayPlan) => startsOf(plan).filter((one) => !one.startsWith('green-4 '));
    const steady = planDay({ ...input, former });
    const restless = planDay(input);
    expect(steady.runs.some((run) => run.bedId === 'green-4' && run.startMs >= NOON_MS)).toBe(true);
    const kept = inBoth(others(morning), others(steady));
    // Two neighbours give way to its cycle before the crew; without care most would move.
    expect(kept).toBeGreaterThanOrEqual(0.8 * others(morning).length);
    expect(inBoth(others(morning), others(restless))).toBeLessThan(kept / 2);
  });

  it('never pays for it with a bed', () => {
    // A hotter afternoon than the morning knew of.
    const hours = MORNING.hours.map((hour) => ({
      ...hour,
      referenceEtMm: hour.startMs >= NOON_MS ? hour.referenceEtMm * 1.3 : hour.referenceEtMm,
    }));
    const { input, former } = atEleven(morning, { hours });
    const minutes = (plan: DayPlan) =>
      plan.beds.reduce((sum, bed) => sum + bed.minutesBelowDryLimit, 0);
    expect(minutes(planDay({ ...input, former }))).toBeLessThanOrEqual(minutes(planDay(input)));
  });
});

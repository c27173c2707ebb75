import type { DayPlan, Remedy, RemedyChange } from '../../calc/schedule/day-plan.ts';
import { type DayPlanInput, planDay } from '../../calc/schedule/plan-day.ts';
import type { Limits } from '../../calc/schedule/site.ts';
import type { Claim } from './claims.ts';
import type { DayFacts } from './day-facts.ts';

const MIN_MS = 60_000;
/** Told minutes may differ from found ones by so much, or by a fifth. */
const SAME_MIN = 10;
/** Each is a whole plan. */
const MOST_A_SITE = 4;

/** What would help, as told: tried on a plan made anew with the change. */
export function remedyClaims(day: DayFacts): Claim[] {
  const { plan, input } = day;
  const told = new Map<string, { bedId: string; remedy: Remedy }>();
  for (const { bedId, remedy } of plan.shortages) {
    if (remedy !== null) told.set(JSON.stringify([bedId, remedy]), { bedId, remedy });
  }
  return [...told.values()].slice(0, MOST_A_SITE).map(({ bedId, remedy }) => {
    const { change, isCure, savedMin } = remedy;
    const before = shortMin(plan, bedId);
    const afters = changedDays(change, bedId, input).map((changed) =>
      shortMin(planDay({ ...changed, isSketch: true }), bedId),
    );
    const isSo = afters.some((after) => {
      if (isCure) return after === 0;
      return Math.abs(before - after - savedMin) <= Math.max(SAME_MIN, savedMin / 5);
    });
    const why = isSo ? null : `${change.kind}: from ${before} to ${afters.join(' or ')} min`;
    return { kind: 'remedy', at: bedId, why };
  });
}

function shortMin(plan: DayPlan, bedId: string): number {
  return plan.shortages
    .filter((one) => one.bedId === bedId)
    .reduce((sum, one) => sum + one.minutesBelowReserve, 0);
}

/** The days that a change can mean. */
function changedDays(change: RemedyChange, bedId: string, input: DayPlanInput): DayPlanInput[] {
  const { limits } = input.site;
  const withLimits = (changed: Partial<Limits>): DayPlanInput[] => [
    { ...input, site: { ...input.site, limits: { ...limits, ...changed } } },
  ];
  switch (change.kind) {
    case 'keep_off_later':
    case 'keep_off_earlier': {
      const shiftMs = change.minutes * MIN_MS * (change.kind === 'keep_off_later' ? 1 : -1);
      return input.keepOffs
        .filter((off) => off.bedId === bedId && off.why === change.why)
        .map((moved) => ({
          ...input,
          keepOffs: input.keepOffs.map((off) =>
            off === moved
              ? { ...off, startMs: off.startMs + shiftMs, endMs: off.endMs + shiftMs }
              : off,
          ),
        }));
    }
    case 'first_start_earlier':
      return withLimits({ firstAfterSunriseMin: limits.firstAfterSunriseMin - change.minutes });
    case 'last_end_later':
      return withLimits({ lastBeforeSunsetMin: limits.lastBeforeSunsetMin - change.minutes });
    case 'one_more_station':
      return withLimits({ stationsAtOnce: limits.stationsAtOnce + 1 });
    case 'larger_allowance':
      return withLimits({ dayAllowanceL: (limits.dayAllowanceL ?? 0) * (1 + change.byPct / 100) });
    case 'stronger_pump':
      return withLimits({ pumpFlowLPerMin: limits.pumpFlowLPerMin * (1 + change.byPct / 100) });
  }
}

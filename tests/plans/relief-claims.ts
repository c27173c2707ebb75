import type { DayPlan } from '../../calc/schedule/day-plan.ts';
import { type DayPlanInput, planDay } from '../../calc/schedule/plan-day.ts';
import type { Limits } from '../../calc/schedule/site.ts';
import type { Claim } from './claims.ts';
import type { DayFacts } from './day-facts.ts';

const SHIFT_MS = 30 * 60_000;
/** Told minutes may differ from found ones by so much, or by a fifth. */
const SAME_MIN = 10;
/** Each is a whole plan. */
const MOST_A_SITE = 4;

/** What would help, as told: tried on a plan made anew with the change. */
export function reliefClaims(day: DayFacts): Claim[] {
  const { plan, input } = day;
  const told = new Map<string, string>();
  for (const { bedId, because } of plan.shortages) {
    const help = because.split('; ')[1];
    if (help !== undefined) told.set(`${bedId}|${help}`, bedId);
  }
  return [...told].slice(0, MOST_A_SITE).map(([key, bedId]) => {
    const help = key.slice(bedId.length + 1);
    const claim = /^(.+) would (end it|save (\d+) min)/.exec(help);
    if (claim === null) return { kind: 'relief', at: bedId, why: `not understood: ${help}` };
    const [, words = '', , saved] = claim;
    const before = shortMin(plan, bedId);
    const afters = changesOf(words, bedId, input).map((changed) =>
      shortMin(planDay({ ...changed, isSketch: true }), bedId),
    );
    const isSo = afters.some((after) => {
      if (saved === undefined) return after === 0;
      return Math.abs(before - after - Number(saved)) <= Math.max(SAME_MIN, Number(saved) / 5);
    });
    const why = isSo ? null : `${help}: from ${before} to ${afters.join(' or ')} min`;
    return { kind: 'relief', at: bedId, why };
  });
}

function shortMin(plan: DayPlan, bedId: string): number {
  return plan.shortages
    .filter((one) => one.bedId === bedId)
    .reduce((sum, one) => sum + one.minutesBelowReserve, 0);
}

/** The days that the words can mean. */
function changesOf(words: string, bedId: string, input: DayPlanInput): DayPlanInput[] {
  const { limits } = input.site;
  const withLimits = (change: Partial<Limits>): DayPlanInput[] => [
    { ...input, site: { ...input.site, limits: { ...limits, ...change } } },
  ];
  const moving = /^moving (.+) 30 min (later|earlier)$/.exec(words);
  if (moving !== null) {
    const shiftMs = moving[2] === 'later' ? SHIFT_MS : -SHIFT_MS;
    return input.keepOffs
      .filter((off) => off.bedId === bedId && off.why === moving[1])
      .map((moved) => ({
        ...input,
        keepOffs: input.keepOffs.map((off) =>
          off === moved
            ? { ...off, startMs: off.startMs + shiftMs, endMs: off.endMs + shiftMs }
            : off,
        ),
      }));
  }
  switch (words) {
    case 'a first start 30 min earlier':
      return withLimits({ firstAfterSunriseMin: limits.firstAfterSunriseMin - 30 });
    case 'a last end 30 min later':
      return withLimits({ lastBeforeSunsetMin: limits.lastBeforeSunsetMin - 30 });
    case 'one more station at once':
      return withLimits({ stationsAtOnce: limits.stationsAtOnce + 1 });
    case "a day's allowance 10 % larger":
      return withLimits({ dayAllowanceL: (limits.dayAllowanceL ?? 0) * 1.1 });
    case 'a pump 10 % stronger':
      return withLimits({ pumpFlowLPerMin: limits.pumpFlowLPerMin * 1.1 });
    default:
      return [];
  }
}

import type { SiteClock } from '../../adapters/site-clock.ts';
import type { DayPlan } from '../../calc/schedule/day-plan.ts';

const HOUR_MS = 3_600_000;

/** Who told which hours of a plan and how old that was when it was made, one line each. */
export function weatherLines(plan: DayPlan, clock: SiteClock): string[] {
  return (plan.weather.shares ?? []).map(({ source, origin, hours, asOfMs }) => {
    const age = asOfMs === null ? '' : `, ${sayAge(asOfMs, plan, clock)}`;
    return `  ${hours} h ${origin}: ${source}${age}`;
  });
}

function sayAge(asOfMs: number, { madeAtMs, siteDay }: DayPlan, clock: SiteClock): string {
  const day = clock.siteDayOf(asOfMs);
  const when = `${day === siteDay ? '' : `${day} `}${clock.timeOf(asOfMs)}`;
  const ageH = Math.max(0, (madeAtMs - asOfMs) / HOUR_MS);
  return `of ${when}, ${ageH.toFixed(1)} h old`;
}

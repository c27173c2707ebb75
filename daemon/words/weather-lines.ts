import type { SiteClock } from '../../adapters/site-clock.ts';
import type { DayPlan, WeatherShare } from '../../calc/schedule/day-plan.ts';

const HOUR_MS = 3_600_000;

/** Who told which hours of a plan and how old that was when it was made, one line each. */
export function weatherLines(plan: DayPlan, clock: SiteClock): string[] {
  return shareLines(plan.weather.shares ?? [], { nowMs: plan.madeAtMs, clock });
}

/** Who told which hours, and how old that is now. */
export function shareLines(
  shares: readonly WeatherShare[],
  { nowMs, clock }: { nowMs: number; clock: SiteClock },
): string[] {
  return shares.map(({ source, origin, hours, asOfMs }) => {
    if (asOfMs === null) return `  ${hours} h ${origin}: ${source}`;
    const day = clock.siteDayOf(asOfMs);
    const when = `${day === clock.siteDayOf(nowMs) ? '' : `${day} `}${clock.timeOf(asOfMs)}`;
    const ageH = Math.max(0, (nowMs - asOfMs) / HOUR_MS);
    return `  ${hours} h ${origin}: ${source}, of ${when}, ${ageH.toFixed(1)} h old`;
  });
}

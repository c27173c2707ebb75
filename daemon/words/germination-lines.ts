import type { SiteClock } from '../../adapters/site-clock.ts';
import type { BedGermination, DayPlan } from '../../calc/schedule/day-plan.ts';

import { bedsAlike } from './beds-alike.ts';

/** The beds that are to germinate: their windows, and what these rest on. */
export function germinationLines(plan: DayPlan, clock: SiteClock): string[] {
  return bedsAlike(
    plan.beds.flatMap(({ name, germination }) =>
      germination === null
        ? []
        : [{ name, text: sayGermination(germination, plan.startMs, clock) }],
    ),
  );
}

/** When the first green may be expected, in one sentence that names its base. */
export function sayGermination(window: BedGermination, nowMs: number, clock: SiteClock): string {
  const { earliestMs, latestMs, sumCDays, leastCDays, mostCDays, baseTempC } = window;
  const warmth = `${sumCDays.toFixed(0)} of ${leastCDays.toFixed(0)} to ${mostCDays.toFixed(0)} °C-days over base ${baseTempC} °C (assumed)`;
  const day = (instantMs: number) => clock.siteDayOf(instantMs);
  const when =
    earliestMs === null || latestMs === null
      ? 'first green not in sight, the seedbed stays too cold'
      : latestMs < nowMs
        ? `first green was to be expected from ${day(earliestMs)} to ${day(latestMs)}`
        : `first green from ${day(earliestMs)} to ${day(latestMs)}`;
  const since =
    window.countedFromMs > window.sownMs
      ? `; warmth counts since ${clock.isoOf(window.countedFromMs).slice(0, 16).replace('T', ' ')}, none is known from before: it may come earlier`
      : '';
  const missing = window.missingHours > 0 ? `; ${window.missingHours} h without a temperature` : '';
  return `${when}; ${warmth}${since}${missing}.`;
}

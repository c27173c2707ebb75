import type { SiteClock, SiteDay } from '../../adapters/site-clock.ts';
import { sunTimes } from '../../calc/sky/sun-times.ts';

/** When the morning plan is made: against sunrise, or at a wall-clock time. */
export type MorningTime =
  | { kind: 'sunrise'; offsetMin: number }
  | { kind: 'clock'; hour: number; minute: number };

/** Where and when the morning plan is made. */
export interface MorningRule {
  clock: SiteClock;
  latitudeDeg: number;
  longitudeDeg: number;
  morning: MorningTime;
}

/** Where the sun does not rise, the morning begins by the clock. */
const MORNING_WITHOUT_SUNRISE = { hour: 4, minute: 30 };

/**
 * The instant from which a site day's morning plan is owed, always inside that site day.
 */
export function morningOf(day: SiteDay, rule: MorningRule): number {
  const { clock, latitudeDeg, longitudeDeg, morning } = rule;
  const dayStartMs = clock.startOf(day);
  const dayEndMs = clock.startOf(clock.addDays(day, 1));
  const inside = (instantMs: number) => Math.min(Math.max(instantMs, dayStartMs), dayEndMs - 1);
  const byClock = ({ hour, minute }: { hour: number; minute: number }) => {
    const [year, month, dayOfMonth] = day.split('-').map(Number) as [number, number, number];
    return inside(clock.instantOf({ year, month, day: dayOfMonth, hour, minute }));
  };
  if (morning.kind === 'clock') return byClock(morning);
  const { sunriseMs } = sunTimes({ dayStartMs, latitudeDeg, longitudeDeg });
  return sunriseMs === null
    ? byClock(MORNING_WITHOUT_SUNRISE)
    : inside(sunriseMs + morning.offsetMin * 60_000);
}

/**
 * The site day whose morning plan is owed now, or null. Pure: what is owed follows from what the
 * store has, the instant and the rule, so a late wake does the owed work once and a missed day is
 * not made up for.
 */
export function owedMorning(
  nowMs: number,
  rule: MorningRule,
  hasMorningPlan: (day: SiteDay) => boolean,
): SiteDay | null {
  const today = rule.clock.siteDayOf(nowMs);
  if (nowMs < morningOf(today, rule)) return null;
  return hasMorningPlan(today) ? null : today;
}

import type { SiteClock, SiteDay } from '../../adapters/site-clock.ts';
import { causeOfKeepOff, type KeepOff, type KeepOffCause } from '../../calc/schedule/site.ts';
import { type KeepOffBound, type KeepOffConfig, WEEKDAYS } from './keep-off-schema.ts';

/** A keep-off of the config with its beds named. */
export interface KeepOffRule extends KeepOffCause {
  bedIds: string[];
  from: KeepOffBound;
  to: KeepOffBound;
  /** Days of the week of a daily keep-off, 0 for Monday to 6 for Sunday; null for every day. */
  weekdays: number[] | null;
}

/** The config's keep-offs with their beds named. */
export function toKeepOffRules(
  keepOffs: readonly KeepOffConfig[],
  bedIds: readonly string[],
): KeepOffRule[] {
  return keepOffs.map(({ beds, from, to, why, days }) => ({
    bedIds: beds === 'all' ? [...bedIds] : [...new Set(beds)],
    from,
    to,
    why,
    weekdays: days ? days.map((day) => WEEKDAYS.indexOf(day)) : null,
  }));
}

/**
 * The keep-offs that touch a site day, at their whole length, in order of time. A daily keep-off
 * that ends at or before its begin runs into the next day, so the evening before is looked at too:
 * asking for two days in a row gives such a keep-off twice.
 */
export function keepOffsOn(
  day: SiteDay,
  config: { keepOffRules: readonly KeepOffRule[] },
  clock: SiteClock,
): KeepOff[] {
  const dayStartMs = clock.startOf(day);
  const dayEndMs = clock.startOf(clock.addDays(day, 1));
  const found: KeepOff[] = [];
  for (const rule of config.keepOffRules) {
    for (const stretch of stretchesOf(rule, day, clock)) {
      if (stretch.endMs <= dayStartMs || stretch.startMs >= dayEndMs) continue;
      for (const bedId of rule.bedIds) found.push({ bedId, ...stretch, ...causeOfKeepOff(rule) });
    }
  }
  return found.sort((a, b) => a.startMs - b.startMs || (a.bedId < b.bedId ? -1 : 1));
}

interface Stretch {
  startMs: number;
  endMs: number;
}

function stretchesOf(rule: KeepOffRule, day: SiteDay, clock: SiteClock): Stretch[] {
  const { from, to, weekdays } = rule;
  if (from.kind === 'dated' && to.kind === 'dated') {
    return nonEmpty({ startMs: clock.instantOf(from), endMs: clock.instantOf(to) });
  }
  const overnight = to.hour * 60 + to.minute <= from.hour * 60 + from.minute;
  const beginDays = overnight ? [clock.addDays(day, -1), day] : [day];
  return beginDays
    .filter((begin) => weekdays === null || weekdays.includes(weekdayOf(begin)))
    .flatMap((begin) =>
      nonEmpty({
        startMs: instantOn(begin, from, clock),
        endMs: instantOn(overnight ? clock.addDays(begin, 1) : begin, to, clock),
      }),
    );
}

/** A stretch that a clock change swallowed whole is none. */
function nonEmpty(stretch: Stretch): Stretch[] {
  return stretch.endMs > stretch.startMs ? [stretch] : [];
}

function instantOn(day: SiteDay, bound: KeepOffBound, clock: SiteClock): number {
  const [year = 0, month = 0, dayOfMonth = 0] = day.split('-').map(Number);
  return clock.instantOf({
    year,
    month,
    day: dayOfMonth,
    hour: bound.hour,
    minute: bound.minute,
  });
}

/** 0 for Monday to 6 for Sunday. A calendar day has one weekday whatever the zone. */
function weekdayOf(day: SiteDay): number {
  return (new Date(`${day}T00:00:00Z`).getUTCDay() + 6) % 7;
}

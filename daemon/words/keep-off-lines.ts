import { display } from '../../adapters/display-units.ts';
import type { SiteClock } from '../../adapters/site-clock.ts';
import type { BedPlan } from '../../calc/schedule/day-plan.ts';
import type { PlanWarning } from '../../calc/schedule/plan-warning.ts';
import { dryUntilMs, overMs } from '../planning/standing-keep-offs.ts';
import type { PersonKeepOff } from '../store/keep-offs.ts';

/** Beds named with the hours that they have left; the rest are counted. */
const MOST_NAMED = 3;

/**
 * A standing keep-off in plain words: which beds, why, by whom, for how long already, until when,
 * and how long the beds have left without water. Pure.
 *
 * @param beds As the newest plan has them; empty when there is none.
 */
export function sayKeepOff(
  keepOff: PersonKeepOff,
  given: { beds: readonly BedPlan[]; clock: SiteClock; nowMs: number },
): string {
  const { beds, clock, nowMs } = given;
  const { keepOffId, atMs, who, why } = keepOff;
  const duration = (ms: number) => display('metric').duration(ms / 1000);
  const when = (ms: number) =>
    clock.siteDayOf(ms) === clock.siteDayOf(nowMs)
      ? clock.timeOf(ms)
      : `${clock.siteDayOf(ms)} ${clock.timeOf(ms)}`;
  const covered = beds.filter((bed) => keepOff.beds === 'all' || keepOff.beds.includes(bed.bedId));
  const names =
    keepOff.beds === 'all'
      ? 'all beds'
      : keepOff.beds
          .map((bedId) => beds.find((bed) => bed.bedId === bedId)?.name ?? bedId)
          .join(', ');
  const left = covered
    .toSorted((a, b) => (a.dryAtMs ?? Infinity) - (b.dryAtMs ?? Infinity))
    .map(({ name, dryAtMs }) => {
      if (dryAtMs === null) return `${name} lasts until tomorrow`;
      return dryAtMs <= nowMs
        ? `${name} is at its dry limit now`
        : `${name} has ${duration(dryAtMs - nowMs)} left, to ${when(dryAtMs)}`;
    });
  const more = left.length > MOST_NAMED ? `; ${left.length - MOST_NAMED} more beds` : '';
  const leftText =
    left.length === 0 ? '' : ` Without water: ${left.slice(0, MOST_NAMED).join('; ')}${more}.`;
  const sinceLong = nowMs === atMs ? '' : `, ${duration(nowMs - atMs)} so far`;
  return `Keep-off ${keepOffId} (${why}) on ${names} by ${who} since ${when(atMs)}${sinceLong}, ${sayEnd(keepOff, nowMs, when)}.${leftText}`;
}

/** Each standing keep-off as a warning of a plan, so that none is forgotten. */
export function keepOffNotes(
  standing: readonly PersonKeepOff[],
  given: Parameters<typeof sayKeepOff>[1],
): PlanWarning[] {
  return standing.map((one) => ({ code: 'keep_off', bedId: null, text: sayKeepOff(one, given) }));
}

function sayEnd(keepOff: PersonKeepOff, nowMs: number, when: (ms: number) => string): string {
  const over = overMs(keepOff);
  if (over === Infinity) {
    return `until a person ends it (\`dewbeat keep-off --end ${keepOff.keepOffId} --who NAME\`)`;
  }
  if (keepOff.labelIntervalS === 0) return `until ${when(over)}`;
  const label = `the label keeps water off until ${when(dryUntilMs(keepOff))}`;
  return over <= nowMs
    ? `over since ${when(over)}, ${label}`
    : `until ${when(over)}, then ${label}`;
}

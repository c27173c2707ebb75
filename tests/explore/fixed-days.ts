import { planDigest, planDocument } from '../../adapters/plan-document.ts';
import type { SiteClock, SiteDay } from '../../adapters/site-clock.ts';
import type { DayPlan } from '../../calc/schedule/day-plan.ts';
import type { Run } from '../../calc/schedule/run.ts';
import type { SiteInUse } from '../../daemon/site/gate/site-changes.ts';
import { CAUTIONS } from '../../daemon/site/gate/valid-confirm.ts';
import type { StoredConfirmation, StoredPlan } from '../../daemon/site/store/plans.ts';
import { siteClock } from '../../daemon/site/time/site-clock.ts';
import { examplePlan } from '../example-plan.ts';

/** The invented beds of the model, each with one station. */
export const BEDS = ['g1', 'g2'] as const;
export const SITE_ID = 'example-site';
export const WHO = 'Person (invented)';
export const TICKED = CAUTIONS.map(({ code }) => code);

const ZONE = 'UTC';
const clock = siteClock(ZONE);
const days = new Map<number, SiteDay>();

/** The site's clock; the few days that there are here are worked out once. */
export const CLOCK: SiteClock = {
  ...clock,
  siteDayOf(atMs) {
    const day = days.get(atMs) ?? clock.siteDayOf(atMs);
    days.set(atMs, day);
    return day;
  },
};
const HOUR_MS = 3_600_000;
const DAYS = ['2026-07-01', '2026-07-02'] as const;

/** The instants at which things happen: a morning, an early afternoon, the next morning. */
export const PHASES_MS = [
  Date.parse('2026-07-01T06:00:00Z'),
  Date.parse('2026-07-01T13:00:00Z'),
  Date.parse('2026-07-02T07:00:00Z'),
] as const;

/** Hours of the day at which each watered bed has a run. */
const RUN_HOURS = [12, 15] as const;

/** The site by the config in use: outputs may move, the beds stay as they are. */
export const SITE: SiteInUse = {
  siteId: SITE_ID,
  zone: ZONE,
  bedIds: [...BEDS],
  stations: BEDS.map((bedId) => ({
    stationId: `${bedId}-a`,
    bedId,
    precipitationRateMmPerH: 18,
    rotationS: 120,
    flowLPerMin: 100,
  })),
};

/** A row with a short name for what it holds: states that differ in nothing are one. */
export interface Keyed<T> {
  key: string;
  row: T;
}

const plans = new Map<string, Keyed<StoredPlan>>();

/** A plan as it is kept: the same object for the same content, so that its digest is worked out once. */
export function storedPlan(given: {
  planId: number;
  phase: number;
  beds: readonly string[];
  lifts: number[];
  lastHoldId: number;
}): Keyed<StoredPlan> {
  const { planId, phase, beds, lifts, lastHoldId } = given;
  const key = `p${planId}@${phase}:${beds.join('+')}/${lifts.join('+')}/${lastHoldId}`;
  const known = plans.get(key);
  if (known !== undefined) return known;
  const plan = dayPlan(planId, phase, beds);
  const digest = planDigest(planDocument(plan, CLOCK));
  const row: StoredPlan = { planId, cause: 'person', digest, plan, lifts, lastHoldId };
  const made = { key, row };
  plans.set(key, made);
  return made;
}

function dayPlan(revision: number, phase: number, beds: readonly string[]): DayPlan {
  const day = phase < 2 ? 0 : 1;
  const midnightMs = Date.parse(`${DAYS[day]}T00:00:00Z`);
  const madeAtMs = PHASES_MS[phase] ?? midnightMs;
  const runs = RUN_HOURS.flatMap((hour, index) =>
    beds.map((bedId): Run => {
      const startMs = midnightMs + hour * HOUR_MS;
      return {
        bedId,
        stationId: `${bedId}-a`,
        startMs,
        runS: 240,
        rotations: 2,
        grossMm: 1.2,
        netMm: 1,
        cycle: index + 1,
      };
    }),
  ).filter((run) => run.startMs > madeAtMs);
  return examplePlan({
    siteId: SITE_ID,
    madeFor: { zone: SITE.zone, bedIds: SITE.bedIds, stations: SITE.stations },
    siteDay: DAYS[day],
    revision,
    madeAtMs,
    startMs: madeAtMs,
    firstRunMs: madeAtMs,
    endMs: midnightMs + 24 * HOUR_MS,
    beds: examplePlan()
      .beds.slice(0, BEDS.length)
      .map((bed, index) => ({ ...bed, bedId: BEDS[index] ?? '', cycles: [] })),
    runs,
  });
}

/** A confirm as it is kept. */
export function storedConfirmation(
  confirmationId: number,
  stored: Keyed<StoredPlan>,
  atMs: number,
): Keyed<StoredConfirmation> {
  return {
    key: `c${confirmationId}=${stored.row.planId}@${atMs}`,
    row: { confirmationId, who: WHO, atMs, cautions: TICKED, stored: stored.row },
  };
}

import { type DisplayUnits, display } from '../../../adapters/display-units.ts';
import {
  type DayPlan,
  type PlannedSite,
  type PlannedStation,
  plannedSite,
} from '../../../calc/schedule/day-plan.ts';
import type { LoadedConfig } from '../config/config.ts';
import type { Db } from '../store/database.ts';

/** The site as the config in use has it, as far as plans are held against it. */
export interface SiteInUse extends PlannedSite {
  siteId: string;
  /** Units in which a person is told of changes. */
  units: DisplayUnits;
}

const inUse = new WeakMap<Db, SiteInUse>();

/** The facts of a config that a plan has to fit. */
export function siteInUseOf({
  site,
  clock,
  units,
}: Pick<LoadedConfig, 'site' | 'clock' | 'units'>): SiteInUse {
  return { siteId: site.id, units, ...plannedSite(site, clock.zone) };
}

/**
 * Says for which site this connection is used from now on; each reload says it anew. What stands of a
 * confirm is asked for in many places, and none of them may forget to hold it against the site.
 */
export function useSite(db: Db, config: Pick<LoadedConfig, 'site' | 'clock' | 'units'>): void {
  inUse.set(db, siteInUseOf(config));
}

/** The site that this connection is used for; null where nobody has said: rows are only looked at. */
export function siteUsedBy(db: Db): SiteInUse | null {
  return inUse.get(db) ?? null;
}

/** One thing that is no longer as the plan has it. */
export interface SiteChange {
  /** Beds whose runs must not start; none: what is new, which the plan does not water. */
  bedIds: 'all' | string[];
  /** What is now and what was, in words. */
  text: string;
}

/** Said of a plan that an earlier program kept: nobody can tell whether it fits. */
export const SITE_NOT_TOLD = 'the plan does not say for what stations it was made';

/** Two readings of one figure in other units of the config agree within this part of it. */
const SAME_WITHIN_FRACTION = 1e-6;

/** What has changed at the site since a plan was made for it, gravest first. Pure. */
export function siteChanges(
  { siteId, madeFor }: Pick<DayPlan, 'siteId' | 'madeFor'>,
  now: SiteInUse,
): SiteChange[] {
  if (siteId !== now.siteId) {
    return [all(`the site is now ${now.siteId}, the plan is for ${siteId}`)];
  }
  if (madeFor === undefined) {
    return [all(SITE_NOT_TOLD)];
  }
  const changes: SiteChange[] = [];
  if (madeFor.zone !== now.zone) {
    changes.push(all(`the zone is now ${now.zone}, it was ${madeFor.zone}`));
  }
  for (const bedId of madeFor.bedIds) {
    if (!now.bedIds.includes(bedId)) {
      changes.push({ bedIds: [bedId], text: `bed ${bedId} is gone` });
    }
  }
  const stationsNow = new Map(now.stations.map((station) => [station.stationId, station]));
  for (const was of madeFor.stations) {
    const is = stationsNow.get(was.stationId);
    const text = is === undefined ? `station ${was.stationId} is gone` : changed(was, is, now);
    if (text === null) continue;
    const bedIds = [...new Set([was.bedId, ...(is === undefined ? [] : [is.bedId])])];
    changes.push({ bedIds, text });
  }
  const stationIds = new Set(madeFor.stations.map((station) => station.stationId));
  for (const bedId of now.bedIds) {
    if (!madeFor.bedIds.includes(bedId)) changes.push(none(`bed ${bedId} is new`));
  }
  for (const { stationId } of now.stations) {
    if (!stationIds.has(stationId)) changes.push(none(`station ${stationId} is new`));
  }
  return changes;
}

/** The first few changes in one text. */
export function sayChanges(changes: readonly SiteChange[]): string {
  const more = changes.length - MOST_SAID;
  const said = changes.slice(0, MOST_SAID).map(({ text }) => text);
  return [...said, ...(more > 0 ? [`and ${more} more`] : [])].join(', ');
}

const MOST_SAID = 4;

function all(text: string): SiteChange {
  return { bedIds: 'all', text };
}

function none(text: string): SiteChange {
  return { bedIds: [], text };
}

function changed(was: PlannedStation, is: PlannedStation, now: SiteInUse): string | null {
  if (was.bedId !== is.bedId) {
    return `station ${was.stationId} now waters ${is.bedId}, it watered ${was.bedId}`;
  }
  const show = display(now.units);
  const figures = [
    { was: was.precipitationRateMmPerH, is: is.precipitationRateMmPerH, say: show.rate },
    { was: was.rotationS, is: is.rotationS, say: (s: number) => `a rotation of ${exact(s)} s` },
    { was: was.flowLPerMin, is: is.flowLPerMin, say: show.flow },
  ];
  const differing = figures.filter(
    (one) => !(Math.abs(one.was - one.is) <= SAME_WITHIN_FRACTION * Math.abs(one.was)),
  );
  if (differing.length === 0) return null;
  return `station ${was.stationId} ${differing.map(sayFigure).join(' and ')}`;
}

function sayFigure(figure: { was: number; is: number; say(value: number): string }): string {
  const [is, was] = [figure.say(figure.is), figure.say(figure.was)];
  // What a person's rounding hides is a change all the same.
  if (is === was) return `now has ${is}, slightly other than before`;
  return `now has ${is}, it had ${was}`;
}

function exact(value: number): string {
  return String(Number(value.toFixed(3)));
}

import {
  type DayPlan,
  type PlannedSite,
  type PlannedStation,
  plannedSite,
} from '../../../calc/schedule/day-plan.ts';
import type { Coded } from '../../coded.ts';
import type { LoadedConfig } from '../config/config.ts';
import type { Db } from '../store/database.ts';

/** The site as the config in use has it, as far as plans are held against it. */
export interface SiteInUse extends PlannedSite {
  siteId: string;
}

const inUse = new WeakMap<Db, SiteInUse>();

/** The facts of a config that a plan has to fit. */
export function siteInUseOf({ site, clock }: Pick<LoadedConfig, 'site' | 'clock'>): SiteInUse {
  return { siteId: site.id, ...plannedSite(site, clock.zone) };
}

/**
 * Says for which site this connection is used from now on; each reload says it anew. What stands of a
 * confirm is asked for in many places, and none of them may forget to hold it against the site.
 */
export function useSite(db: Db, config: Pick<LoadedConfig, 'site' | 'clock'>): void {
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
  what: Coded;
  /** The figures of a station that are others now. */
  figures?: SiteFigure[];
}

/** A figure of a station: mm/h, seconds of a rotation, L/min. */
export interface SiteFigure {
  figure: 'rate' | 'rotation' | 'flow';
  was: number;
  is: number;
}

/** Of a plan that an earlier program kept nobody can tell whether it fits. */
export const SITE_NOT_TOLD: SiteChange = { bedIds: 'all', what: { code: 'not_told' } };

/** Two readings of one figure in other units of the config agree within this part of it. */
const SAME_WITHIN_FRACTION = 1e-6;

/** What has changed at the site since a plan was made for it, gravest first. Pure. */
export function siteChanges(
  { siteId, madeFor }: Pick<DayPlan, 'siteId' | 'madeFor'>,
  now: SiteInUse,
): SiteChange[] {
  if (siteId !== now.siteId) {
    return [all({ code: 'other_site', now: now.siteId, before: siteId })];
  }
  if (madeFor === undefined) {
    return [SITE_NOT_TOLD];
  }
  const changes: SiteChange[] = [];
  if (madeFor.zone !== now.zone) {
    changes.push(all({ code: 'zone', now: now.zone, before: madeFor.zone }));
  }
  for (const bedId of madeFor.bedIds) {
    if (!now.bedIds.includes(bedId)) {
      changes.push({ bedIds: [bedId], what: { code: 'bed_gone', bed: bedId } });
    }
  }
  const stationsNow = new Map(now.stations.map((station) => [station.stationId, station]));
  for (const was of madeFor.stations) {
    const is = stationsNow.get(was.stationId);
    const change = changed(was, is);
    if (change === null) continue;
    const bedIds = [...new Set([was.bedId, ...(is === undefined ? [] : [is.bedId])])];
    changes.push({ bedIds, ...change });
  }
  const stationIds = new Set(madeFor.stations.map((station) => station.stationId));
  for (const bedId of now.bedIds) {
    if (!madeFor.bedIds.includes(bedId)) changes.push(none({ code: 'bed_new', bed: bedId }));
  }
  for (const { stationId } of now.stations) {
    if (!stationIds.has(stationId)) changes.push(none({ code: 'station_new', station: stationId }));
  }
  return changes;
}

function all(what: Coded): SiteChange {
  return { bedIds: 'all', what };
}

function none(what: Coded): SiteChange {
  return { bedIds: [], what };
}

function changed(
  was: PlannedStation,
  is: PlannedStation | undefined,
): Omit<SiteChange, 'bedIds'> | null {
  const station = was.stationId;
  if (is === undefined) return { what: { code: 'station_gone', station } };
  if (was.bedId !== is.bedId) {
    return { what: { code: 'station_moved', station, now: is.bedId, before: was.bedId } };
  }
  const all: SiteFigure[] = [
    { figure: 'rate', was: was.precipitationRateMmPerH, is: is.precipitationRateMmPerH },
    { figure: 'rotation', was: was.rotationS, is: is.rotationS },
    { figure: 'flow', was: was.flowLPerMin, is: is.flowLPerMin },
  ];
  const figures = all.filter(
    (one) => !(Math.abs(one.was - one.is) <= SAME_WITHIN_FRACTION * Math.abs(one.was)),
  );
  return figures.length === 0 ? null : { what: { code: 'figures', station }, figures };
}

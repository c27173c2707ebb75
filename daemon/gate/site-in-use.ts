import type { DisplayUnits } from '../../adapters/display-units.ts';
import { type PlannedSite, plannedSite } from '../../calc/schedule/planned-site.ts';
import type { LoadedConfig } from '../config/loaded-config.ts';
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

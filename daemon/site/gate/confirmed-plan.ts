import type { ConfirmedPlan, DayChange } from '../../../adapters/contract.ts';
import type { Coded } from '../../coded.ts';
import { covers, type Hold } from '../store/holds-and-keep-offs.ts';
import type { StoredConfirmation } from '../store/plans.ts';
import { SITE_NOT_TOLD, type SiteChange, type SiteInUse, siteChanges } from './site-changes.ts';
import { faultOfConfirm } from './valid-confirm.ts';
import { withinLeeway } from './within-leeway.ts';

/** What stands of a confirm: the plan, less what has been taken out of it, or why nothing does. */
export type Standing =
  | { confirmed: ConfirmedPlan }
  | { confirmed: null; because: 'held' }
  | { confirmed: null; because: 'store_altered'; fault: Coded }
  | { confirmed: null; because: 'site_changed'; changes: readonly SiteChange[] };

/** What besides the confirm itself says what may run of it. */
export interface StandingFacts {
  /** Holds put on since. */
  holds: readonly Hold[];
  /** Whether the log tells of the confirm. */
  isLogged: boolean;
  /** The last change within its leeway; left out or null: it stands as laid. */
  change?: DayChange | null;
  /** The site by the config in use; null where nobody uses the store for one. */
  site: SiteInUse | null;
}

/**
 * The one maker of a `ConfirmedPlan`: from a confirm that stands in the store as a person gave it,
 * less the beds that holds have taken out of it since, and those that are no longer what the plan
 * was made for. A test sees to it that no other file does this. Pure.
 */
export function confirmedPlan(confirmation: StoredConfirmation, facts: StandingFacts): Standing {
  const { stored, atMs, who, cautions } = confirmation;
  const { holds, isLogged, change = null, site } = facts;
  if (stored.plan.madeFor === undefined) {
    return { confirmed: null, because: 'site_changed', changes: [SITE_NOT_TOLD] };
  }
  const fault = faultOfConfirm(confirmation, isLogged) ?? faultOfChange(confirmation, change);
  if (fault !== null) return { confirmed: null, because: 'store_altered', fault };
  if (holds.some((hold) => hold.beds === 'all')) {
    return { confirmed: null, because: 'held' };
  }
  const changes = site === null ? [] : siteChanges(stored.plan, site);
  if (changes.some(({ bedIds }) => bedIds === 'all')) {
    return { confirmed: null, because: 'site_changed', changes };
  }
  const confirmed = {
    plan: stored.plan,
    digest: stored.digest,
    confirmation: { who, atMs, cautions },
    ...(change === null ? {} : { change }),
    heldBedIds: stored.plan.beds
      .map((bed) => bed.bedId)
      .filter((bedId) => holds.some((hold) => covers(hold, bedId)) || hits(changes, bedId)),
  } as unknown as ConfirmedPlan;
  return { confirmed };
}

/** A change that oversteps what was confirmed was not written by this program: nothing of it may run. */
function faultOfChange(confirmation: StoredConfirmation, change: DayChange | null): Coded | null {
  if (change === null) return null;
  const { stored, atMs, leewayBedIds = null } = confirmation;
  const given = { plan: stored.plan, confirmedMs: atMs, bedIds: leewayBedIds };
  const overstep = withinLeeway(given, change.cycles);
  if (overstep === null) return null;
  const { siteDay, revision } = stored.plan;
  return { code: 'leeway_overstepped', siteDay, revision, number: change.number };
}

/** A change of everything has left nothing to ask about. */
function hits(changes: readonly SiteChange[], bedId: string): boolean {
  return changes.some(({ bedIds }) => bedIds.includes(bedId));
}

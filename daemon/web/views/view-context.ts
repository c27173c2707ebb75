import type { UnitDisplay } from '../../../adapters/display-units.ts';
import type { LoadedConfig } from '../../config/loaded-config.ts';
import type { PlanStanding } from '../../gate/plan-standing.ts';
import type { SiteNow } from '../../planning/site-now.ts';
import type { Db } from '../../store/database.ts';
import type { Hold } from '../../store/holds.ts';
import type { PersonKeepOff } from '../../store/keep-offs.ts';
import type { StoredPlan } from '../../store/plans.ts';

/** What the views are read from. */
export interface ViewContext {
  db: Db;
  config: LoadedConfig;
  nowMs: number;
  /** The beds as they stand now; null while the weather cannot be read. */
  now: SiteNow | null;
  /** Why it could not be reckoned; null when it could. */
  nowFault: string | null;
}

/** The newest plan with what stands beside it: read once, used by every part of a view. */
export interface NewestPlan {
  stored: StoredPlan;
  standing: PlanStanding;
  holds: readonly Hold[];
  keepOffs: readonly PersonKeepOff[];
  show: UnitDisplay;
}

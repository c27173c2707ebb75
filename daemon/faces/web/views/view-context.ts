import type { UnitDisplay } from '../../../../adapters/display-units.ts';
import { NotReckoned, whyNotPlanned } from '../../../planning/planning-context.ts';
import type { SiteNow } from '../../../planning/site-now.ts';
import { reckonerHere } from '../../../service/reckoner/reckoner.ts';
import type { LoadedConfig } from '../../../site/config/config.ts';
import type { PlanStanding } from '../../../site/gate/gate.ts';
import { type Db, storeVersion } from '../../../site/store/database.ts';
import type { Hold, PersonKeepOff } from '../../../site/store/holds-and-keep-offs.ts';
import type { StoredPlan } from '../../../site/store/plans.ts';
import { within } from '../../../within.ts';
import { type Message, sayMessage } from '../../../words/language.ts';
import { type Reader, sayTo } from '../../../words/plan-words.ts';
import type { WebParts } from '../web-parts.ts';

/** What the views are read from. */
export interface ViewContext {
  db: Db;
  config: LoadedConfig;
  nowMs: number;
  /** Whom it is told to. */
  reader: Reader;
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

const MINUTE_MS = 60_000;
/** A page is answered by then: while a new sand is worked out, with how the beds stood before. */
const PATIENCE_MS = 3_000;
/** Older than this it says nothing of now. */
const STANDS_IN_MS = 5 * MINUTE_MS;

/** How the beds stand, for readers of every language. */
interface Standing {
  now: SiteNow | null;
  fault: Message | string | null;
}

/**
 * Has it reckoned how the beds stand now, at most once a minute for one state of the store: several
 * open pages ask for the same.
 */
export function siteNowReader(
  parts: Pick<WebParts, 'db' | 'config' | 'weather' | 'now' | 'reckoner'>,
): (reader: Reader) => Promise<ViewContext> {
  const { db, config, now, reckoner = reckonerHere(parts) } = parts;
  let kept: { key: string; reckoned: Promise<Standing> } | null = null;
  let last: { atMs: number; site: SiteNow } | null = null;

  const standIn = (nowMs: number, why: Message | string): Standing =>
    last !== null && Math.abs(nowMs - last.atMs) <= STANDS_IN_MS
      ? { now: last.site, fault: null }
      : { now: null, fault: why };

  const reckon = async (nowMs: number, key: string): Promise<Standing> => {
    try {
      const site = await reckoner.ask('siteNow', { nowMs }, 'the page');
      last = { atMs: nowMs, site };
      return { now: site, fault: null };
    } catch (error) {
      const why = whyNotPlanned(error);
      if (why !== null && !(error instanceof NotReckoned)) return { now: null, fault: why };
      if (kept?.key === key) kept = null;
      if (why !== null) return standIn(nowMs, why);
      throw error;
    }
  };

  return async (reader) => {
    const nowMs = now();
    const key = `${storeVersion(db)} ${Math.floor(nowMs / MINUTE_MS)}`;
    if (kept?.key !== key) kept = { key, reckoned: reckon(nowMs, key) };
    const inTime = await within(kept.reckoned, PATIENCE_MS);
    const standing = inTime.ended ? inTime.value : standIn(nowMs, { key: 'beds_not_yet' });
    const nowFault = standing.fault === null ? null : sayMessage(standing.fault, sayTo(reader));
    return { db, config, nowMs, reader, now: standing.now, nowFault };
  };
}

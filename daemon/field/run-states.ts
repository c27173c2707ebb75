import type { SiteClock, SiteDay } from '../../adapters/site-clock.ts';
import type { Db } from '../store/database.ts';
import { fieldReportsSince } from '../store/field-reports.ts';
import { handWaterSince } from '../store/hand-water.ts';
import { confirmedRunsSince } from './confirmed-runs.ts';
import { type Reconciled, reconcile } from './reconcile.ts';
import type { FieldRule, RanReport, RunState } from './run-state.ts';

/** Reports are read from this long before: whether a receiver reports at all shows there. */
const LOOK_BACK_MS = 7 * 24 * 3_600_000;

/**
 * Each confirmed run of a site day with its state, in order of time: what ran under earlier
 * revisions of the day, and what the plan in force still has.
 */
export function runStates(
  db: Db,
  asked: { siteDay: SiteDay; clock: SiteClock; nowMs: number; rule: FieldRule },
): RunState[] {
  const { siteDay, clock, nowMs, rule } = asked;
  const fromMs = clock.startOf(siteDay);
  const toMs = clock.startOf(clock.addDays(siteDay, 1));
  return whatRan(db, { fromMs, nowMs, rule }).runs.filter(
    ({ run }) => run.startMs >= fromMs && run.startMs < toMs,
  );
}

/** What became of every run that ends after an instant, with what was reported and not asked for. */
export function whatRan(
  db: Db,
  asked: { fromMs: number; nowMs: number; rule: FieldRule },
): Reconciled {
  const { fromMs, nowMs, rule } = asked;
  const reports = fieldReportsSince(db, fromMs - LOOK_BACK_MS).filter(
    (report): report is RanReport => report.kind === 'ran',
  );
  const { runs, strays } = reconcile({
    // One confirm earlier, so that what belongs to the plan before is not taken for unasked.
    confirmed: confirmedRunsSince(db, fromMs - rule.lateMs),
    reports,
    byHand: handWaterSince(db, fromMs - rule.lateMs),
    nowMs,
    rule,
  });
  const endsAfter = (startMs: number, runS: number) => startMs + runS * 1000 > fromMs;
  return {
    runs: runs.filter(({ run }) => endsAfter(run.startMs, run.runS)),
    strays: strays.filter((stray) => stray.startMs >= fromMs),
  };
}

import { expectedDry } from '../../calc/schedule/dry-moves.ts';
import type { LoadedConfig } from '../config/loaded-config.ts';
import { type HeldBed, type HoldStanding, holdLevel } from '../gate/held-beds.ts';
import type { Db } from '../store/database.ts';
import { covers, openHolds } from '../store/holds.ts';
import { newestPlan, newestPlanBy, type StoredPlan } from '../store/plans.ts';
import { waterToRun } from './water-to-run.ts';

/** Every open hold with the time that its beds have left, as the plans know it. */
export function holdStandings(db: Db, config: LoadedConfig, nowMs: number): HoldStanding[] {
  const newest = newestPlan(db);
  return openHolds(db).map((hold): HoldStanding => {
    const then = newestPlanBy(db, hold.atMs) ?? newest;
    const dryNow = dryTimes(db, config, { stored: newest, atMs: nowMs });
    const dryThen = dryTimes(db, config, { stored: then, atMs: hold.atMs });
    const beds = config.site.beds
      .filter((bed) => covers(hold, bed.id))
      .flatMap(({ id: bedId, name }): HeldBed[] => {
        const dryMs = dryNow(bedId);
        const dryThenMs = dryThen(bedId);
        if (dryMs === null) return [];
        const hadMs = Math.max(0, (dryThenMs ?? dryMs) - hold.atMs);
        const leftMs = Math.max(0, dryMs - nowMs);
        return [{ bedId, name, hadMs, leftMs, dryMs, level: holdLevel({ hadMs, leftMs }) }];
      })
      .toSorted((a, b) => a.dryMs - b.dryMs);
    return { hold, beds, isOver: hold.untilMs !== null && nowMs >= hold.untilMs };
  });
}

/**
 * When a bed gets dry without more water, as a plan and what ran since know it; null: not known.
 * What ran is looked through once for all beds of a site.
 */
function dryTimes(
  db: Db,
  config: LoadedConfig,
  { stored, atMs }: { stored: StoredPlan | null; atMs: number },
): (bedId: string) => number | null {
  if (stored === null) return () => null;
  const given = waterToRun(db, config, { fromMs: stored.plan.startMs, nowMs: atMs }).filter(
    (one) => one.startMs < atMs,
  );
  return (bedId) => {
    const bed = stored.plan.beds.find((one) => one.bedId === bedId);
    if (bed === undefined) return null;
    return expectedDry(bed, atMs, given)?.dryMs ?? bed.dryAtMs;
  };
}

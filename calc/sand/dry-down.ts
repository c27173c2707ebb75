import { type BedProfile, drainedColumn, fullColumn } from './bed-column.ts';
import { type DryEvent, dryLimitFromDrained, runUntilDry } from './dry-limit.ts';
import { copyColumn } from './richards-column.ts';

/** How long a full bed lasts at one demand, and what evaporates until then. */
export interface DryDownRow {
  demandMmPerH: number;
  /** Null when the bed is not dry within the longest run. */
  hours: number | null;
  capacityMm: number | null;
  event: DryEvent | null;
}

export const DRY_DOWN_RATES_MM_PER_H = [0.1, 0.2, 0.3, 0.5, 0.7, 1] as const;

/**
 * The bed dried from its full state (half an hour after a thorough wetting) at steady demands: the
 * capacity is the mm evaporated when it reaches its dry limit. It is smaller at a greater demand,
 * because the sand carries water up only so fast, and smaller at a very small one on open sand,
 * because water falls away meanwhile.
 *
 * @param bed the sand, its depth and what lies under it
 * @param ratesMmPerH demands, mm/h, above 0
 * @param longestH length of a run, hours; 120 when left out
 */
export function dryDownTable(
  bed: BedProfile,
  {
    ratesMmPerH = DRY_DOWN_RATES_MM_PER_H,
    longestH = 120,
  }: { ratesMmPerH?: readonly number[]; longestH?: number } = {},
): DryDownRow[] {
  const full = fullColumn(bed);
  const limit = dryLimitFromDrained(drainedColumn(full));
  return ratesMmPerH.map((demandMmPerH) => {
    const spell = { hours: longestH, waterMmPerH: 0, demandMmPerH };
    const dry = runUntilDry(copyColumn(full), [spell], { limit });
    return {
      demandMmPerH,
      hours: dry?.hours ?? null,
      capacityMm: dry?.evaporatedMm ?? null,
      event: dry?.event ?? null,
    };
  });
}

import type { BedPlan } from '../../../../calc/schedule/day-plan.ts';

/** The two ends of the store's band, one value for each of the store's. */
export interface BandSeries {
  lowerMm: number[];
  upperMm: number[];
}

/**
 * A plan's band at every step of its store. The plan tells it each half hour, and a cycle lifts store
 * and band between two of those: so it is their distance from the store that is drawn in straight lines
 * from one to the next. Null: the plan has none. Pure.
 */
export function bandSeries({
  stepMin,
  storeMm,
  band,
}: BedPlan['expectedStore']): BandSeries | null {
  if (band === undefined) return null;
  const every = band.stepMin / stepMin;
  const end = (endMm: readonly number[]) => {
    const distanceAt = (index: number) => {
      const known = Math.min(index, endMm.length - 1);
      return (endMm[known] ?? 0) - (storeMm[known * every] ?? 0);
    };
    return storeMm.map((mm, step) => {
      const index = Math.floor(step / every);
      const part = step / every - index;
      const before = distanceAt(index);
      return mm + before + part * (distanceAt(index + 1) - before);
    });
  };
  return { lowerMm: end(band.lowerMm), upperMm: end(band.upperMm) };
}

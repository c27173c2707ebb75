import type { BedPlan } from '../../../../calc/schedule/day-plan.ts';

/** The two ends of the store's band, one value for each of the store's. */
export interface BandSeries {
  lowerMm: number[];
  upperMm: number[];
}

/**
 * A plan's band at every step of its store. The plan tells it each half hour, and a cycle lifts store
 * and band between two of those: so it is their distance from the store that goes in a straight line
 * from one to the next, and no further out than either of the two or the store itself. Null: the plan
 * has none. Pure.
 */
export function bandSeries({
  stepMin,
  storeMm,
  band,
}: BedPlan['expectedStore']): BandSeries | null {
  if (band === undefined) return null;
  const every = band.stepMin / stepMin;
  const end = (endMm: readonly number[], outer: (...mm: number[]) => number) => {
    const told = (index: number) => {
      const known = Math.min(index, endMm.length - 1);
      const mm = endMm[known] ?? 0;
      return { mm, distance: mm - (storeMm[known * every] ?? 0) };
    };
    return storeMm.map((mm, step) => {
      const index = Math.floor(step / every);
      const part = step / every - index;
      const before = told(index);
      const after = told(index + 1);
      const between = mm + before.distance + part * (after.distance - before.distance);
      const outermost = outer(before.mm, after.mm, mm);
      return outer(between, outermost) === between ? outermost : between;
    });
  };
  return { lowerMm: end(band.lowerMm, Math.min), upperMm: end(band.upperMm, Math.max) };
}

import type { BedPlan, DayPlan } from './day-plan.ts';

/** What differs for one bed between two plans. */
export interface BedChange {
  bedId: string;
  name: string;
  cyclesBefore: number;
  cyclesAfter: number;
  netMmBefore: number;
  netMmAfter: number;
  /** Cycles that start at another time or are new. */
  moved: number;
}

/**
 * What changed from one plan to another, bed by bed, counting only what is still to come.
 *
 * @param fromMs Cycles that start before this are history and no change.
 * @returns Only beds that change; an empty list when the plans ask the same of the field.
 */
export function planChange(before: DayPlan, after: DayPlan, fromMs: number): BedChange[] {
  const bedsBefore = new Map(before.beds.map((bed) => [bed.bedId, bed]));
  const bedsAfter = new Map(after.beds.map((bed) => [bed.bedId, bed]));
  const ids = [...new Set([...bedsAfter.keys(), ...bedsBefore.keys()])];
  return ids.flatMap((bedId) => {
    const was = toCome(bedsBefore.get(bedId), fromMs);
    const is = toCome(bedsAfter.get(bedId), fromMs);
    const startsBefore = new Set(was.map((cycle) => `${cycle.startMs} ${cycle.netMm.toFixed(3)}`));
    const moved = is.filter(
      (cycle) => !startsBefore.has(`${cycle.startMs} ${cycle.netMm.toFixed(3)}`),
    ).length;
    if (moved === 0 && was.length === is.length) return [];
    return [
      {
        bedId,
        name: (bedsAfter.get(bedId) ?? bedsBefore.get(bedId))?.name ?? bedId,
        cyclesBefore: was.length,
        cyclesAfter: is.length,
        netMmBefore: was.reduce((sum, cycle) => sum + cycle.netMm, 0),
        netMmAfter: is.reduce((sum, cycle) => sum + cycle.netMm, 0),
        moved,
      },
    ];
  });
}

function toCome(bed: BedPlan | undefined, fromMs: number) {
  return (bed?.cycles ?? []).filter((cycle) => cycle.startMs >= fromMs);
}

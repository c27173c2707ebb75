import { bookWater, copyBalance, roomAt } from './bed-balance.ts';
import { type DayLayout, type LaidBed, putBack, takeOut } from './day-layout.ts';
import { type Blocked, dueOf, type PlacedCycle } from './placement-pass.ts';
import { reasonsFor } from './placement-reasons.ts';
import { candidateAt, latestStart, type Search, standsInTheWay } from './start-search.ts';

/**
 * Tells the reasons of a bed that was laid anew, as if its cycles had come one by one: what it was
 * owed, what stood at its latest safe start, and where it went instead.
 */
export function retoldBed(
  layout: DayLayout,
  bed: LaidBed,
): { cycles: PlacedCycle[]; blocked: Blocked[] } {
  const { input, timeline } = layout;
  const { limits, slotMs, window } = input;
  const search: Search = { ...input, timeline };
  const placing = { ...bed.placing, balance: copyBalance(bed.placing.balance) };
  const bedId = placing.bed.id;
  const cycles: PlacedCycle[] = [];
  const blocked: Blocked[] = [];
  let from = {
    fromMs: bed.freeFromMs,
    restMin: bed.freeFromMs > input.startMs ? limits.restMin : 0,
  };
  takeOut(layout, bed);
  for (const cycle of bed.cycles) {
    const { startMs, block, driftLossFraction, drainedMm } = cycle;
    const due = dueOf(placing, search, from);
    const latestMs = due === null ? startMs : latestStart(due, slotMs);
    const inTheWay =
      latestMs === startMs
        ? null
        : standsInTheWay(placing, search, candidateAt(placing, search, latestMs));
    const candidate = { ...cycle, roomMm: roomAt(placing.balance, startMs) };
    const found = { candidate, obstacle: inTheWay?.by ?? null };
    if (due !== null && found.obstacle !== null && startMs > due.latestMs) {
      blocked.push({ bedId, atMs: due.latestMs, by: found.obstacle });
    }
    const reasons =
      due === null
        ? [{ code: 'last_of_day' as const, untilMs: window.nextFirstStartMs }]
        : reasonsFor({ placing, due, found, drainedMm, slotMs, movedFor: cycle.movedFor });
    cycles.push({ bedId, startMs, block, driftLossFraction, drainedMm, reasons });
    const endMs = startMs + block.durationS * 1000;
    bookWater(placing.balance, { startMs, endMs, netMm: block.netMm });
    from = { fromMs: endMs + limits.restMin * 60_000, restMin: limits.restMin };
  }
  putBack(layout, bed);
  const after = dueOf(placing, search, from);
  if (after !== null) {
    // What was never placed has its reason as well: a used-up allowance leaves no cycle to tell it.
    const wanted = candidateAt(placing, search, latestStart(after, slotMs));
    const inTheWay = standsInTheWay(placing, search, wanted);
    if (inTheWay !== null) blocked.push({ bedId, atMs: after.latestMs, by: inTheWay.by });
    blocked.push({ bedId, atMs: after.latestMs, by: { kind: 'day_over' } });
  }
  return { cycles, blocked };
}

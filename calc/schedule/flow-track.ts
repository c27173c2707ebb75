import type { SupplyLimit } from './supply-limit.ts';

/** What one limit of the supply already carries, slot by slot. */
export interface FlowTrack {
  limit: SupplyLimit;
  allowedLPerMin: number;
  bookedLPerMin: Float64Array;
  /** Runs that begin or end within a slot, by slot. */
  edges: Map<number, TrackRun[]>;
}

/** A run on one track; its flow counts valves where the track does. */
export interface TrackRun {
  startMs: number;
  endMs: number;
  flowLPerMin: number;
}

/**
 * The most that runs draw at once within a slot, where all that touch it sum up to `touchingLPerMin`:
 * those that cover it whole are in every second of it, the others only while they last.
 */
export function peakWithin(
  slot: { startMs: number; endMs: number },
  booked: readonly TrackRun[] | undefined,
  asked: { runs: readonly TrackRun[]; startMs: number },
  touchingLPerMin: number,
): number {
  const parts = [...(booked ?? [])];
  for (const run of asked.runs) {
    const startMs = asked.startMs + run.startMs;
    const endMs = asked.startMs + run.endMs;
    const isTouching = startMs < slot.endMs && endMs > slot.startMs;
    const isWhole = startMs <= slot.startMs && endMs >= slot.endMs;
    if (isTouching && !isWhole) parts.push({ ...run, startMs, endMs });
  }
  const partsLPerMin = parts.reduce((sum, part) => sum + part.flowLPerMin, 0);
  const drawnAt = (atMs: number) =>
    parts.reduce(
      (sum, part) => (part.startMs <= atMs && part.endMs > atMs ? sum + part.flowLPerMin : sum),
      0,
    );
  const peak = Math.max(
    drawnAt(slot.startMs),
    ...parts.map((part) => (part.startMs > slot.startMs ? drawnAt(part.startMs) : 0)),
  );
  return touchingLPerMin - partsLPerMin + peak;
}

/** Notes a run in the slots that it covers only in part, or takes it out again. */
export function setEdges(
  { startMs: originMs, slotMs }: { startMs: number; slotMs: number },
  track: FlowTrack,
  run: TrackRun,
  isBooked: boolean,
): void {
  const first = Math.floor((run.startMs - originMs) / slotMs);
  const last = Math.ceil((run.endMs - originMs) / slotMs) - 1;
  for (const slot of first === last ? [first] : [first, last]) {
    const fromMs = originMs + slot * slotMs;
    if (run.startMs <= fromMs && run.endMs >= fromMs + slotMs) continue;
    const edges = track.edges.get(slot) ?? [];
    track.edges.set(slot, edges);
    if (isBooked) edges.push(run);
    else {
      const at = edges.findIndex(
        (one) =>
          one.startMs === run.startMs &&
          one.endMs === run.endMs &&
          one.flowLPerMin === run.flowLPerMin,
      );
      if (at !== -1) edges.splice(at, 1);
    }
  }
}

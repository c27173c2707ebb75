import type { Cycle } from './day-plan.ts';
import type { KeptCycle } from './kept-cycle.ts';
import type { PlacedCycle } from './placement-pass.ts';
import type { Run } from './run.ts';

/** A cycle with its place in the day, whether newly placed or kept, before it has a number. */
export interface LaidCycle extends Omit<Cycle, 'cycle'> {
  bedId: string;
  runs: readonly Omit<Run, 'cycle'>[];
}

/** @param drainedMm By how much more drains for it, from its booking. */
export function keptCycle(cycle: KeptCycle, drainedMm: number): LaidCycle {
  return { ...cycle, wantedStartMs: null, drainedMm, reasons: [{ code: 'kept' }] };
}

export function laidCycle(cycle: PlacedCycle): LaidCycle {
  const { bedId, startMs, block, driftLossFraction, drainedMm, wantedMs = null, reasons } = cycle;
  return {
    bedId,
    startMs,
    endMs: startMs + block.durationS * 1000,
    wantedStartMs: wantedMs,
    grossMm: block.grossMm,
    netMm: block.netMm,
    rotations: block.rotations,
    driftLossFraction,
    drainedMm,
    reasons,
    runs: block.runs.map((run) => ({
      bedId,
      stationId: run.station.id,
      startMs: startMs + run.offsetS * 1000,
      runS: run.runS,
      rotations: run.rotations,
      grossMm: run.grossMm,
      netMm: run.netMm,
    })),
  };
}

/** The runs of one bed's cycles, each with the number of its cycle, from 1. */
export function numberedRuns(cycles: readonly LaidCycle[]): Run[] {
  return cycles.flatMap((cycle, index) => cycle.runs.map((run) => ({ ...run, cycle: index + 1 })));
}

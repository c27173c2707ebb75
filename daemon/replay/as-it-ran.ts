import type { Cycle, DayPlan } from '../../calc/schedule/day-plan.ts';
import type { GivenWater } from '../../calc/schedule/dry-moves.ts';
import { type LaidCycle, numberedRuns } from '../../calc/schedule/laid-cycle.ts';
import type { Run } from '../../calc/schedule/run.ts';

/** A plan's cycles with their runs, in order of time. */
export function cyclesOf(plan: DayPlan): LaidCycle[] {
  return plan.beds
    .flatMap(({ bedId, cycles }) =>
      cycles.map(({ cycle, ...laid }): LaidCycle => {
        const runs = plan.runs.filter((run) => run.bedId === bedId && run.cycle === cycle);
        return { ...laid, bedId, runs };
      }),
    )
    .sort((a, b) => a.startMs - b.startMs || (a.bedId < b.bedId ? -1 : 1));
}

/** What stands once a revision is confirmed: it rules from its first run on. */
export function revised(standing: readonly LaidCycle[], plan: DayPlan): LaidCycle[] {
  const before = standing.filter((cycle) => cycle.startMs < plan.firstRunMs);
  const after = cyclesOf(plan).filter((cycle) => cycle.startMs >= plan.firstRunMs);
  return [...before, ...after];
}

/**
 * The morning's plan with the cycles that ran in the end, and the water that reached the ground in
 * the wind as it was.
 */
export function asItRan(
  morning: DayPlan,
  standing: readonly LaidCycle[],
  driftAt: (instantMs: number) => number,
): DayPlan {
  const ran = standing.map((cycle): LaidCycle => {
    const driftLossFraction = driftAt(cycle.startMs);
    const net = (grossMm: number) => grossMm * (1 - driftLossFraction);
    return {
      ...cycle,
      driftLossFraction,
      netMm: net(cycle.grossMm),
      runs: cycle.runs.map((run) => ({ ...run, netMm: net(run.grossMm) })),
    };
  });
  const own = (bedId: string) => ran.filter((cycle) => cycle.bedId === bedId);
  return {
    ...morning,
    beds: morning.beds.map((bed) => {
      const cycles = own(bed.bedId).map(
        ({ runs: _, bedId: __, ...cycle }, index): Cycle => ({ ...cycle, cycle: index + 1 }),
      );
      const total = (pick: (cycle: Cycle) => number) =>
        cycles.reduce((sum, cycle) => sum + pick(cycle), 0);
      return {
        ...bed,
        cycles,
        grossMm: total((cycle) => cycle.grossMm),
        netMm: total((cycle) => cycle.netMm),
        drainedMm: total((cycle) => cycle.drainedMm),
      };
    }),
    runs: morning.beds
      .flatMap((bed) => numberedRuns(own(bed.bedId)))
      .sort((a, b) => a.startMs - b.startMs || (a.stationId < b.stationId ? -1 : 1)),
  };
}

/** The runs of standing cycles, which have no number in a new plan yet. */
export function standingRuns(standing: readonly LaidCycle[]): Run[] {
  return standing.flatMap((cycle) => cycle.runs.map((run) => ({ ...run, cycle: 0 })));
}

/** Water that the beds got of standing cycles before an instant. */
export function givenBy(standing: readonly LaidCycle[], nowMs: number): GivenWater[] {
  return standing
    .filter((cycle) => cycle.startMs < nowMs)
    .map(({ bedId, startMs, netMm }) => ({ bedId, startMs, netMm }));
}

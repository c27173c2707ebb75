import { type BedBalance, bookWater, dryBalance } from './bed-balance.ts';
import type { StationDay } from './day-plan.ts';
import { STEP_MIN, STEP_MS } from './demand.ts';
import { type Run, waterToCome } from './run.ts';
import type { Daylight } from './shortages.ts';
import type { Station } from './site.ts';

/**
 * What each station's part of a bed gets and how it fares, each worked out by itself from the runs of
 * the finished plan.
 *
 * @param balance The bed's finished balance, of the same stations.
 * @param runs The bed's runs in the plan.
 * @param untilMs To here loss and moisture count: tomorrow's first water.
 */
export function stationDays(input: {
  stations: readonly Station[];
  balance: BedBalance;
  runs: readonly Omit<Run, 'cycle'>[];
  daylight: Daylight;
  startMs: number;
  untilMs: number;
  lossMm: number;
  /** What drains of the bed's cycles, where it is one part. */
  drainedMm: number;
}): StationDay[] {
  const { stations, balance, runs, daylight, startMs, untilMs, lossMm } = input;
  const { sand, grid, demand, parts } = balance;
  const dayOf = new Map<string, Pick<StationDay, 'drainedMm' | 'minutesBelowDryLimit'>>();
  for (const { stationIds, state } of parts) {
    const [first] = stationIds;
    let { drainedMm } = input;
    let own = balance;
    if (parts.length > 1) {
      own = dryBalance({ store: sand, grid, demand, stateNow: state });
      const water = runs.filter(({ stationId }) => stationId === first);
      drainedMm = bookWater(own, ...water.map((run) => waterToCome([run], startMs)));
    }
    let minutesBelowDryLimit = 0;
    for (let step = 0; step <= grid.steps; step++) {
      const atMs = grid.startMs + step * STEP_MS;
      if (atMs < daylight.startMs || atMs >= daylight.endMs || atMs > untilMs) continue;
      if ((own.leftMm[step] ?? 0) < 0) minutesBelowDryLimit += STEP_MIN;
    }
    for (const id of stationIds) dayOf.set(id, { drainedMm, minutesBelowDryLimit });
  }
  return stations.map(({ id }): StationDay => {
    const own = runs.filter(({ stationId }) => stationId === id);
    const sum = (of: (run: Omit<Run, 'cycle'>) => number) =>
      own.reduce((total, run) => total + of(run), 0);
    const netMm = sum((run) => run.netMm);
    return {
      stationId: id,
      rotations: sum((run) => run.rotations),
      runS: sum((run) => run.runS),
      grossMm: sum((run) => run.grossMm),
      netMm,
      percentOfLoss: lossMm > 0 ? (100 * netMm) / lossMm : null,
      ...(dayOf.get(id) ?? { drainedMm: 0, minutesBelowDryLimit: 0 }),
    };
  });
}

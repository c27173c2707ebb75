import type { Cycle } from '../../calc/schedule/day-plan.ts';
import type { Run } from '../../calc/schedule/run.ts';
import type { SupplyLimit } from '../../calc/schedule/site.ts';
import type { Watering } from './bed-water.ts';
import { type BedFacts, type DayFacts, START_GRID_MS } from './day-facts.ts';
import { clock } from './limit-breaches.ts';
import { type SupplyInUse, type SupplyRun, supplyRuns } from './supply-in-use.ts';

const MIN_MS = 60_000;

/** A cycle with what has to be known to judge its reasons. */
export interface CycleFacts {
  day: DayFacts;
  facts: BedFacts;
  own: readonly (Watering & { runs: Run[] })[];
  index: number;
  told: Cycle;
  /** The supply without this cycle. */
  supply: SupplyInUse;
  /** When the bed comes to its reserve without this cycle; null: never. */
  reserveAtMs: number | null;
  /** From when on the bed has rested. */
  restedMs: number;
  /** By when water has to start for the last station to be in time. */
  neededMs: number;
}

/** A start between two instants at which the same runs fit, in words; null: there is none. */
export function freeBetween(known: CycleFacts, fromMs: number, toMs: number): string | null {
  const { day, facts, supply, told, restedMs } = known;
  const lastsMs = told.endMs - told.startMs;
  const free = startsBetween(fromMs, toMs).find(
    (startMs) =>
      startMs !== told.startMs &&
      startMs >= Math.max(restedMs, day.firstStartMs) &&
      startMs + lastsMs <= day.lastEndMs &&
      facts.keepOffs.every((off) => startMs >= off.endMs || startMs + lastsMs <= off.startMs) &&
      supply.passedBy(shifted(known, startMs)).length === 0,
  );
  return free === undefined ? null : `free at ${clock(day, free)}`;
}

/** What others draw while a cycle would run from then on, L. */
export function othersL({ day, told, facts }: CycleFacts, startMs: number): number {
  const endMs = startMs + told.endMs - told.startMs;
  return supplyRuns(day)
    .filter((run) => run.bedId !== facts.bed.id)
    .reduce((sum, run) => {
      const sharedMs = Math.min(run.endMs, endMs) - Math.max(run.startMs, startMs);
      return sum + (run.station.flowLPerMin * Math.max(0, sharedMs)) / MIN_MS;
    }, 0);
}

export function shifted({ own, index, day }: CycleFacts, startMs: number): SupplyRun[] {
  const cycle = own[index];
  if (cycle === undefined) return [];
  return cycle.runs.flatMap((run) => {
    const station = day.input.site.stations.find((one) => one.id === run.stationId);
    if (station === undefined) return [];
    const atMs = run.startMs + startMs - cycle.startMs;
    return [{ station, startMs: atMs, endMs: atMs + run.runS * 1000 }];
  });
}

export function startsBetween(fromMs: number, toMs: number): number[] {
  const first = Math.ceil(fromMs / START_GRID_MS) * START_GRID_MS;
  const count = Math.max(0, Math.ceil((toMs - first) / START_GRID_MS));
  return Array.from({ length: count }, (_, index) => first + index * START_GRID_MS);
}

export function nameOf(limit: SupplyLimit): string {
  return limit.kind === 'main' || limit.kind === 'lateral'
    ? `${limit.kind} ${limit.id}`
    : limit.kind;
}

export function minutes(ms: number): number {
  return Math.round(ms / MIN_MS);
}

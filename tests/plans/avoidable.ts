import {
  type BedDay,
  drySteps,
  followed,
  followedFrom,
  roomsMm,
  type Watering,
  wateringOf,
  wateringsOf,
} from './bed-water.ts';
import { type BedFacts, type DayFacts, START_GRID_MS, STEP_MS } from './day-facts.ts';
import { SupplyInUse, type SupplyRun, supplyRuns } from './supply-in-use.ts';
import { type PossibleCycle, possibleCycles, runsAt } from './whole-rotations.ts';

const STEP_MIN = STEP_MS / 60_000;

/** A way in which a dry bed could have been less dry. */
export interface LessDry {
  /** `more`: one cycle more; `moved`: one of its own cycles at another start. */
  how: 'more' | 'moved';
  startMs: number;
  rotations: number;
  savedMin: number;
}

/** What a checker finds of a bed's dryness. */
export interface BedDryness {
  bedId: string;
  dryMin: number;
  cycles: number;
  /** The best way found to make it less dry with the other beds left alone; null: there is none. */
  avoidable: LessDry | null;
  /** True where no water runs all day, the bed is dry, and a cycle could have started. */
  isLeftOut: boolean;
}

/**
 * Whether a gain is the rounding of the steps in which the store is followed: moved by a little, the
 * same water falls into one step or into two, and a bed is dry in one step more or less for it.
 */
export function isRounding({ how, savedMin }: LessDry): boolean {
  return how === 'moved' && savedMin <= STEP_MIN;
}

/** How dry a bed is, and whether one cycle more or one moved would make it less so. */
export function bedDryness(day: DayFacts, facts: BedFacts): BedDryness {
  const own = wateringsOf(facts, day.plan.runs);
  const bedDay = followed(day, facts, own);
  const dry = drySteps(day, facts, bedDay);
  const found: BedDryness = {
    bedId: facts.bed.id,
    dryMin: dry.length * STEP_MIN,
    cycles: own.length,
    avoidable: null,
    isLeftOut: false,
  };
  if (dry.length === 0) return found;
  const runs = supplyRuns(day);
  const lastDryMs = day.gridStartMs + ((dry.at(-1) ?? 0) + 1) * STEP_MS;
  const scan = { day, facts, dryMin: found.dryMin, lastDryMs };
  const asIs = new SupplyInUse(day, runs);
  const more = best({ ...scan, supply: asIs, waterings: own, bedDay, how: 'more' });
  found.isLeftOut = own.length === 0 && more.anyFree;
  found.avoidable = more.found;
  for (const [index, cycle] of own.entries()) {
    const rest = own.filter((_, at) => at !== index);
    const without = runs.filter(
      (run) =>
        !cycle.runs.some((one) => one.stationId === run.station.id && one.startMs === run.startMs),
    );
    const moved = best({
      ...scan,
      supply: new SupplyInUse(day, without),
      waterings: rest,
      bedDay: followed(day, facts, rest),
      how: 'moved',
      only: cycle.runs.map((run) => run.rotations).join(),
    });
    if ((moved.found?.savedMin ?? 0) > (found.avoidable?.savedMin ?? 0)) {
      found.avoidable = moved.found;
    }
  }
  return found;
}

interface Scan {
  day: DayFacts;
  facts: BedFacts;
  supply: SupplyInUse;
  waterings: readonly Watering[];
  bedDay: BedDay;
  dryMin: number;
  lastDryMs: number;
  how: LessDry['how'];
  /** Rotations of the one cycle that is moved, station by station. */
  only?: string;
}

function best(scan: Scan): { found: LessDry | null; anyFree: boolean } {
  const { day, facts, waterings, bedDay, dryMin, lastDryMs, how } = scan;
  let found: LessDry | null = null;
  let anyFree = false;
  const firstMs = Math.max(facts.freeFromMs, day.firstStartMs);
  let cycles: PossibleCycle[] = [];
  let driftFraction = Number.NaN;
  let step = -1;
  /** Rotations of the starts of this step that were followed to the day's end already. */
  let seen = new Set<string>();
  for (
    let startMs = Math.ceil(firstMs / START_GRID_MS) * START_GRID_MS;
    startMs < Math.min(lastDryMs, day.lastEndMs);
    startMs += START_GRID_MS
  ) {
    if (day.driftAt(startMs) !== driftFraction) {
      driftFraction = day.driftAt(startMs);
      cycles = possibleCycles(day, facts, driftFraction);
    }
    const at = Math.floor((startMs - day.gridStartMs) / STEP_MS);
    if (at !== step) {
      step = at;
      seen = new Set();
    }
    for (const cycle of cycles) {
      const rotations = rotationsOf(cycle);
      const key = rotations.join();
      // Within a step of the store the earliest free start counts.
      if (seen.has(key) || (scan.only !== undefined && key !== scan.only)) continue;
      if (!isFree(scan, cycle, startMs)) continue;
      anyFree = true;
      seen.add(key);
      const tried = wateringOf(
        facts,
        cycle.runs.map(({ station, offsetMs, runMs }) => ({
          stationId: station.id,
          startMs: startMs + offsetMs,
          endMs: startMs + offsetMs + runMs,
          netMm: (runMs * station.precipitationRateMmPerH * (1 - driftFraction)) / 3.6e6,
        })),
      );
      const rooms = roomsMm(day, facts, { bedDay, waterings, atMs: startMs });
      if (
        !cycle.isLeast &&
        tried.parts.some(({ netMm }, part) => netMm > (rooms[part] ?? 0) + 1e-9)
      ) {
        continue;
      }
      const tryDay = followedFrom(day, facts, [...waterings, tried], {
        from: Math.max(0, at),
        before: bedDay,
      });
      const savedMin = dryMin - drySteps(day, facts, tryDay).length * STEP_MIN;
      if (savedMin > (found?.savedMin ?? 0)) {
        found = { how, startMs, rotations: Math.max(...rotations), savedMin };
      }
    }
  }
  return { found, anyFree };
}

/** Whether a cycle may start then: hours, rest, keep-offs and the supply, by the second. */
function isFree(
  { day, facts, supply, waterings }: Scan,
  cycle: PossibleCycle,
  startMs: number,
): boolean {
  const endMs = startMs + cycle.durationMs;
  const restMs = day.limits.restMin * 60_000;
  return (
    endMs <= day.lastEndMs &&
    waterings.every((one) => startMs >= one.endMs + restMs || one.startMs >= endMs + restMs) &&
    facts.keepOffs.every((off) => startMs >= off.endMs || endMs <= off.startMs) &&
    supply.passedBy(runsAt(cycle, startMs) satisfies SupplyRun[]).length === 0
  );
}

function rotationsOf(cycle: PossibleCycle): number[] {
  return cycle.runs.map(({ station, runMs }) =>
    Math.max(1, Math.floor(runMs / 1000 / station.rotationS + 1e-9)),
  );
}

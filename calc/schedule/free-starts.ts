import { stateBefore } from './balance-parts.ts';
import { lastDryMs } from './bed-dryness.ts';
import { blockOfTurns } from './cycle-block.ts';
import { type DayLayout, type LaidBed, putBack, takeOut } from './day-layout.ts';
import { STEP_MS } from './demand.ts';
import { type Candidate, ceilToSlot, type Search, standsInTheWay } from './start-search.ts';
import { type SupplyLoad, supplyLoad } from './supply-timeline.ts';
import { type WholeDose, wholeDoses } from './whole-doses.ts';

/** The flow's rise is looked at over so long. */
const MINUTE_S = 60;

/** What is left of the work that a plan may take. */
export interface Tries {
  most: number;
}

export interface Stretch {
  startMs: number;
  endMs: number;
}

/** Where a bed's doses find the supply free, were none of its own cycles there. */
export interface FreeStarts {
  tries: Tries;
  steps: {
    stepMs: number;
    /** The largest dose first, each with its free starts within the step. */
    doses: { dose: WholeDose; load: SupplyLoad; starts: number[] }[];
  }[];
}

/**
 * The starts up to a bed's last dry moment at which a dose finds hours, keep-offs and supply free; its
 * own cycles are left out of it, so that what is taken has to be looked at once more.
 *
 * @param within Only starts at which the cycle would touch one of these; null: any.
 */
export function freeStarts(
  layout: DayLayout,
  bed: LaidBed,
  tries: Tries,
  within: readonly Stretch[] | null,
): FreeStarts {
  const { input, timeline } = layout;
  const { window, slotMs, limits } = input;
  const nearMs = 1000 * Math.max(limits.startGapS, limits.pumpRestS, MINUTE_S);
  const { placing, balance } = bed;
  const search: Search = { ...input, timeline };
  const untilMs = Math.min(lastDryMs(balance, window) ?? 0, window.lastEndMs);
  const openMs = Math.max(bed.freeFromMs, window.firstStartMs);
  const known = new Map<number, { dose: WholeDose; load: SupplyLoad }[]>();
  const steps: FreeStarts['steps'] = [];
  takeOut(layout, bed);
  for (let stepMs = balance.grid.startMs; stepMs < untilMs; stepMs += STEP_MS) {
    const firstMs = ceilToSlot(Math.max(stepMs, openMs), slotMs);
    if (firstMs >= stepMs + STEP_MS) continue;
    const air = input.driftAt(firstMs);
    let loads = balance.parts.length > 1 ? undefined : known.get(air);
    if (loads === undefined) {
      loads = dosesAt(input, bed, firstMs).map((dose) => ({
        dose,
        load: supplyLoad(timeline, dose.block),
      }));
      known.set(air, loads);
    }
    const doses: FreeStarts['steps'][number]['doses'] = [];
    for (const { dose, load } of loads) {
      const starts: number[] = [];
      const lastMs = Math.min(stepMs + STEP_MS, untilMs, window.lastEndMs - load.durationMs + 1);
      for (let startMs = firstMs; startMs < lastMs; startMs += slotMs) {
        const isNear = within?.some(
          (one) => startMs < one.endMs + nearMs && startMs + load.durationMs > one.startMs - nearMs,
        );
        if (isNear === false) continue;
        tries.most -= 1;
        const candidate: Candidate = { startMs, roomMm: 0, ...dose };
        if (standsInTheWay(placing, search, candidate, load) === null) starts.push(startMs);
      }
      if (starts.length > 0) doses.push({ dose, load, starts });
    }
    if (doses.length > 0) steps.push({ stepMs, doses });
  }
  putBack(layout, bed);
  return { tries, steps };
}

/**
 * The doses of a bed at an instant, the largest first. Where its parts differ they hang on how each of
 * them stands; beside those that bring all up to one level, it may have one depth for all, and what
 * its own cycles give, which may be moved.
 */
function dosesAt(input: DayLayout['input'], bed: LaidBed, atMs: number): WholeDose[] {
  const { placing, balance, cycles } = bed;
  const byState = wholeDoses(placing, input, atMs, stateBefore(balance, atMs));
  if (balance.parts.length === 1) return byState.reverse();
  const driftLossFraction = input.driftAt(atMs);
  const ground = { stations: placing.stations, driftLossFraction, limits: input.limits };
  const own = cycles.map(({ block }) => ({
    block: blockOfTurns(
      ground,
      block.runs.map((run) => run.rotations),
    ),
    driftLossFraction,
  }));
  const all = [...byState, ...wholeDoses(placing, input, atMs, balance.store.full), ...own];
  const turnsOf = ({ block }: WholeDose) => block.runs.map((run) => run.rotations).join(' ');
  const once = new Map(all.map((dose) => [turnsOf(dose), dose]));
  return [...once.values()].sort((a, b) => b.block.netMm - a.block.netMm);
}

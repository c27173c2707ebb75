import { stateBefore } from './balance-parts.ts';
import { lastDryMs } from './bed-dryness.ts';
import { blockOfTurns, cycleBlock, isWithinCap } from './cycle-block.ts';
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
  const loads = new Map<string, SupplyLoad>();
  const steps: FreeStarts['steps'] = [];
  const reachMs = nearMs + (within === null ? 0 : longestMs(input, bed, openMs));
  takeOut(layout, bed);
  for (let stepMs = balance.grid.startMs; stepMs < untilMs; stepMs += STEP_MS) {
    const firstMs = ceilToSlot(Math.max(stepMs, openMs), slotMs);
    if (firstMs >= stepMs + STEP_MS) continue;
    const isReached = within?.some(
      (one) => stepMs < one.endMs + nearMs && stepMs + STEP_MS + reachMs > one.startMs,
    );
    if (isReached === false) continue;
    const air = input.driftAt(firstMs);
    let doses = balance.parts.length > 1 ? undefined : known.get(air);
    if (doses === undefined) {
      doses = dosesAt(input, bed, firstMs).map((dose) => {
        const turns = turnsOf(dose);
        const load = loads.get(turns) ?? supplyLoad(timeline, dose.block);
        loads.set(turns, load);
        return { dose, load };
      });
      known.set(air, doses);
    }
    const free: FreeStarts['steps'][number]['doses'] = [];
    for (const { dose, load } of doses) {
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
      if (starts.length > 0) free.push({ dose, load, starts });
    }
    if (free.length > 0) steps.push({ stepMs, doses: free });
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
  const all = [
    ...byState,
    ...wholeDoses(placing, input, atMs, balance.store.full),
    // In other air they may bring more than they did.
    ...own.filter(({ block }) => isWithinCap(block, placing.doseCapMm)),
  ];
  const once = new Map(all.map((dose) => [turnsOf(dose), dose]));
  return [...once.values()].sort((a, b) => b.block.netMm - a.block.netMm);
}

function turnsOf({ block }: WholeDose): string {
  return block.runs.map((run) => run.rotations).join(' ');
}

/** No cycle of a bed lasts longer, ms: each of its stations one turn over the cap, at most. */
function longestMs(
  { limits, driftAt }: DayLayout['input'],
  { placing, cycles }: LaidBed,
  atMs: number,
): number {
  const { stations, doseCapMm: netMm } = placing;
  const { durationS } = cycleBlock({ stations, netMm, driftLossFraction: driftAt(atMs), limits });
  const ownS = Math.max(0, ...cycles.map(({ block }) => block.durationS));
  return LENGTHENED * 1000 * Math.max(durationS, ownS);
}

/** Drier air and one turn more make a cycle longer, but not by so much. */
const LENGTHENED = 3;

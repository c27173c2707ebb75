import TinyQueue from 'tinyqueue';
import type { RanBefore } from './allowances.ts';
import { type BedBalance, bookWater, copyBalance, stateBefore } from './bed-balance.ts';
import { drainedOfCycles, firstAtRiskMs } from './bed-moisture.ts';
import { type CycleBlock, stationWaterOf } from './cycle-block.ts';
import type { Reason } from './day-plan.ts';
import { type DueWindow, leastCycleDue, nextDue, type WaterWindow } from './due-window.ts';
import { type KeptCycle, takenBack } from './run.ts';
import type { Limits } from './site.ts';
import {
  blockAt,
  type Candidate,
  findObstacle,
  findStart,
  type PlacementBed,
  type Search,
} from './start-search.ts';
import {
  bookRuns,
  bookSupply,
  type SupplyTimeline,
  supplyLoad,
  supplyTimeline,
} from './supply-timeline.ts';

/** Keeps a depth of whole turns from losing one to rounding. */
const ROUNDING_MM = 1e-9;

/** A cycle with its start. */
export interface PlacedCycle {
  bedId: string;
  startMs: number;
  block: CycleBlock;
  driftLossFraction: number;
  /** By how much more drains for this cycle, mm. */
  drainedMm: number;
  /** Latest start that is safe by the bed's need; null or left out: there is none. */
  wantedMs?: number | null;
  reasons: Reason[];
}

/** What a placement is made from. */
export interface PlacementInput {
  beds: readonly PlacementBed[];
  limits: Limits;
  window: WaterWindow;
  startMs: number;
  /** Cycles that stand already; their water must be in the balances. */
  kept: readonly KeptCycle[];
  /** What ran before; nothing when left out. */
  before?: RanBefore;
  /** Drift and evaporation in flight at an instant, part of the gross depth. */
  driftAt(instantMs: number): number;
  /** Whether the wind then passes the limit; never when left out. */
  isWindyAt?(instantMs: number): boolean;
  /** Grid of the starts, ms. */
  slotMs: number;
}

export interface PassResult {
  cycles: PlacedCycle[];
  balances: BedBalance[];
}

interface DueCycle {
  index: number;
  due: DueWindow;
  /** What it was reckoned from. */
  from: DueFrom;
}

/**
 * Serves the beds in turn, the one that is at risk of drying first before the others, each cycle as
 * late as is safe. Works on copies of the balances.
 *
 * @param timeline What others ask of the supply already, to which the cycles are added; left out:
 *   the cycles that stand already, and no others.
 */
export function placementPass(
  input: PlacementInput,
  timeline: SupplyTimeline = timelineOfKept(input),
): PassResult {
  const { limits, window, driftAt } = input;
  const beds = input.beds.map((one) => ({ ...one, balance: copyBalance(one.balance) }));
  const search: Search = { limits, window, timeline, driftAt };
  const cycles: PlacedCycle[] = [];

  const owedFrom = (index: number, from: DueFrom): DueCycle | null => {
    const placing = beds[index];
    if (placing === undefined) return null;
    const due = dueOf(placing, search, from);
    return due === null ? null : { index, due, from };
  };

  const first = beds.flatMap(({ bed }, index) => {
    return owedFrom(index, firstDueFrom(input, bed.id)) ?? [];
  });
  const idOf = (owed: DueCycle) => beds[owed.index]?.bed.id ?? '';
  const queue = new TinyQueue(
    first,
    (a, b) => a.due.latestMs - b.due.latestMs || (idOf(a) < idOf(b) ? -1 : 1),
  );
  for (let owed = queue.pop(); owed !== undefined; owed = queue.pop()) {
    const placing = beds[owed.index];
    if (placing === undefined) continue;
    const { due } = owed;
    const bedId = placing.bed.id;
    const found = findStart(placing, due, search);
    if (found === null) continue;
    const candidate = bookEnough(placing, found, search);
    const { startMs: at, block, driftLossFraction } = candidate;
    bookSupply(timeline, supplyLoad(timeline, block), at);
    cycles.push({
      bedId,
      startMs: at,
      block,
      driftLossFraction,
      drainedMm: 0,
      // Told from the finished day.
      reasons: [],
    });
    const endMs = at + block.durationS * 1000;
    const next = owedFrom(owed.index, dueAfter(endMs, owed.from, limits));
    if (next !== null) queue.push(next);
  }
  cycles.sort((a, b) => a.startMs - b.startMs || (a.bedId < b.bedId ? -1 : 1));
  for (const [index, { bed, balance }] of beds.entries()) {
    const own = cycles.filter(({ bedId }) => bedId === bed.id);
    const without = input.beds[index]?.balance ?? balance;
    const drained = drainedOfCycles(
      balance,
      without,
      own.map(({ startMs }) => startMs),
    );
    for (const [at, cycle] of own.entries()) cycle.drainedMm = drained[at] ?? 0;
  }
  return { cycles, balances: beds.map((one) => one.balance) };
}

/** What the cycles that stand already ask of the supply. */
export function timelineOfKept(input: PlacementInput): SupplyTimeline {
  const { limits, window, startMs, slotMs, before, kept, beds } = input;
  const timeline = supplyTimeline(limits, { startMs, endMs: window.lastEndMs, slotMs, before });
  const stationOf = new Map(beds.flatMap((bed) => bed.stations.map((one) => [one.id, one])));
  for (const cycle of kept) bookRuns(timeline, cycle.runs, stationOf);
  return timeline;
}

/** What a bed's next cycle is reckoned from. */
export interface DueFrom {
  /** No cycle may start before this. */
  fromMs: number;
  /** The bed's cycles of the day before this one. */
  cyclesDone: number;
}

/** From when on a bed has rested from the water that it has had. */
export function restedFromMs(input: PlacementInput, bedId: string): number {
  return firstDueFrom(input, bedId).fromMs;
}

/** What a bed's first cycle of the plan is reckoned from. */
export function firstDueFrom(
  { kept, before, limits, startMs, beds, window }: PlacementInput,
  bedId: string,
): DueFrom {
  const ends = kept.filter((cycle) => cycle.bedId === bedId).map((cycle) => cycle.endMs);
  const lastEndMs = Math.max(before?.bedEndsMs?.get(bedId) ?? Number.NEGATIVE_INFINITY, ...ends);
  const restedMs = lastEndMs + limits.restMin * 60_000;
  // How many they were is not told: as many as would have been due by then, evenly over the hours.
  const spanMs = (window.lastEndMs - window.firstStartMs) / leastCyclesOf(beds, bedId);
  const cyclesDone = Math.max(0, Math.floor((lastEndMs - window.firstStartMs) / spanMs) + 1);
  return { fromMs: Math.max(startMs, restedMs), cyclesDone };
}

/** What the cycle after one is reckoned from. */
export function dueAfter(
  endMs: number,
  before: DueFrom,
  { restMin }: Pick<Limits, 'restMin'>,
): DueFrom {
  return { fromMs: endMs + restMin * 60_000, cyclesDone: before.cyclesDone + 1 };
}

function leastCyclesOf(beds: readonly PlacementBed[], bedId: string): number {
  return Math.max(1, beds.find((one) => one.bed.id === bedId)?.leastCycles ?? 0);
}

/** When the bed is owed its next cycle, judged by its smallest; null when it lasts. */
export function dueOf(placing: PlacementBed, search: Search, from: DueFrom): DueWindow | null {
  const smallest = blockAt(placing, search, from.fromMs, 0).block;
  const { balance, leastCycles = 0 } = placing;
  const { window } = search;
  const need = {
    balance,
    window,
    smallestNetMm: smallest.netMm,
    fromMs: from.fromMs,
    durationMs: smallest.durationS * 1000,
  };
  const owed = nextDue({
    ...need,
    leadMs: smallest.leadS * 1000,
  });
  const least = leastCycleDue({ ...need, cycles: leastCycles, cyclesDone: from.cyclesDone });
  return least !== null && (owed === null || least.latestMs < owed.latestMs) ? least : owed;
}

/**
 * Books the cycle, with fewer rotations where fewer carry the bed to the next day's first start as
 * well: a bed goes into the night no wetter than it has to.
 */
function bookEnough(placing: PlacementBed, full: Candidate, search: Search): Candidate {
  const { balance } = placing;
  const state = stateBefore(balance, full.startMs);
  const book = ({ startMs, block }: Candidate) =>
    bookWater(balance, stationWaterOf(block, startMs));
  const takeBack = ({ startMs, block }: Candidate) =>
    bookWater(balance, takenBack(stationWaterOf(block, startMs)));
  const lasts = () => {
    const atMs = firstAtRiskMs(balance, full.startMs);
    return atMs === null || atMs >= search.window.nextFirstStartMs;
  };
  let candidate = full;
  book(full);
  while (candidate.block.rotations > 1 && lasts()) {
    const lessMm = candidate.block.oneFewerMm + ROUNDING_MM;
    const less = { ...candidate, ...blockAt(placing, search, full.startMs, lessMm, state) };
    if (less.block.rotations >= candidate.block.rotations) break;
    // A shorter cycle can stop the pump too soon before another start.
    if (findObstacle(placing, search, less) !== null) break;
    takeBack(candidate);
    book(less);
    if (!lasts()) {
      takeBack(less);
      book(candidate);
      break;
    }
    candidate = less;
  }
  return candidate;
}

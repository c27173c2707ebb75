import { waterOfRuns } from './allowances.ts';
import type { LaidCycle } from './bed-plan.ts';
import type { DayPlan } from './day-plan.ts';
import type { BedLeeway, PlanLeeway } from './plan-leeway.ts';
import type { Run } from './run.ts';
import { type SupplyRule, supplyBroken } from './supply-rule.ts';

/** What a changed cycle stands for: one of the confirmed plan by its number, or a spare. */
export type CycleOrigin = { cycle: number } | { spare: number };

/** A cycle as it stands now, with what it stands for. */
export interface StandingCycle extends LaidCycle {
  origin: CycleOrigin;
}

/** What was done for one bed against the plan as it was confirmed. */
export interface BedUse {
  bedId: string;
  /** Numbers of the plan's cycles. */
  leftOut: number[];
  moved: { cycle: number; byMin: number }[];
  /** Starts of spare cycles. */
  addedMs: number[];
}

/** A day's cycles changed within its leeway. */
export interface LeewayChange {
  cycles: StandingCycle[];
  uses: BedUse[];
}

/** A plan's cycles with their runs, in order of time, each standing for itself. */
export function cyclesOfPlan({ beds, runs }: Pick<DayPlan, 'beds' | 'runs'>): StandingCycle[] {
  const ofCycle = new Map<string, Run[]>();
  for (const run of runs) {
    const key = `${run.cycle} ${run.bedId}`;
    const own = ofCycle.get(key);
    if (own === undefined) ofCycle.set(key, [run]);
    else own.push(run);
  }
  return beds
    .flatMap(({ bedId, cycles }) =>
      cycles.map(({ cycle, ...laid }): StandingCycle => {
        const own = ofCycle.get(`${cycle} ${bedId}`) ?? [];
        return { ...laid, bedId, runs: own, origin: { cycle } };
      }),
    )
    .sort((a, b) => a.startMs - b.startMs || (a.bedId < b.bedId ? -1 : 1));
}

/** What a change is made of. */
export interface ChangeInput {
  /** The plan as it was confirmed. */
  confirmed: readonly StandingCycle[];
  /** As it stands now, after changes before; what has run is among it. */
  standing: readonly StandingCycle[];
  /** The day worked out anew: what would be right from `fromMs` on. */
  proposed: readonly LaidCycle[];
  leeway: PlanLeeway;
  /** What begins before this stands as it is. */
  fromMs: number;
  /** Beds to which a cycle may be added. */
  mayAdd: (bedId: string) => boolean;
  supply: SupplyRule;
}

/**
 * The standing cycles moved towards what would be right, as far as the leeway lets them: a cycle that is
 * wanted near one of the plan takes its place, one that is wanted besides is a spare, and one of the plan
 * that nobody wants is left out. A bed for which that oversteps its leeway keeps what stands.
 *
 * @returns `change` null: what stands may stay, or the beds that change and those that do not ask too
 *   much of the supply together. `beyondBedIds`: beds that want more than their leeway lets them have.
 */
export function changeWithin(input: ChangeInput): {
  change: LeewayChange | null;
  beyondBedIds: string[];
} {
  const { confirmed, standing, proposed, leeway, fromMs, mayAdd, supply } = input;
  const of = <T extends { bedId: string; startMs: number }>(cycles: readonly T[], bedId: string) =>
    cycles.filter((cycle) => cycle.bedId === bedId).sort((a, b) => a.startMs - b.startMs);
  const bedIds = [...new Set([...confirmed, ...standing].map(({ bedId }) => bedId))];
  for (const { bedId } of leeway.beds) if (!bedIds.includes(bedId)) bedIds.push(bedId);
  const beyondBedIds: string[] = [];
  const cycles = bedIds.flatMap((bedId): StandingCycle[] => {
    const now = of(standing, bedId);
    const bed = leeway.beds.find((one) => one.bedId === bedId);
    if (bed === undefined) return now;
    const changed = bedChanged({
      bed,
      confirmed: of(confirmed, bedId),
      begun: now.filter(({ startMs }) => startMs < fromMs),
      wanted: of(proposed, bedId).filter(({ startMs }) => startMs >= fromMs),
      mayAdd: mayAdd(bedId),
      supply,
    });
    if (changed === null || changed.isShort) beyondBedIds.push(bedId);
    return changed?.cycles ?? now;
  });
  if (!isWorthIt(standing, cycles, fromMs)) return { change: null, beyondBedIds };
  const runs = cycles.flatMap((cycle) => cycle.runs);
  if (supplyBroken(runs, supply, leeway) !== null) return { change: null, beyondBedIds };
  return { change: { cycles, uses: usesOf(confirmed, cycles) }, beyondBedIds };
}

/** One bed's cycles anew; null: that would overstep its leeway. */
function bedChanged(input: {
  bed: BedLeeway;
  confirmed: readonly StandingCycle[];
  begun: readonly StandingCycle[];
  wanted: readonly LaidCycle[];
  mayAdd: boolean;
  supply: SupplyRule;
}): { cycles: StandingCycle[]; isShort: boolean } | null {
  const { bed, confirmed, begun, wanted, mayAdd, supply } = input;
  const taken = new Set(begun.flatMap(({ origin }) => ('cycle' in origin ? [origin.cycle] : [])));
  let spares = begun.filter(({ origin }) => 'spare' in origin).length;
  const free = confirmed.flatMap(({ startMs, origin }) =>
    'cycle' in origin && !taken.has(origin.cycle) ? [{ startMs, cycle: origin.cycle }] : [],
  );
  const moveMs = bed.moveMin * 60_000;
  const changed: StandingCycle[] = [...begun];
  let isShort = false;
  for (const cycle of wanted) {
    if (cycle.runs.some(({ rotations }) => rotations > bed.mostRotations)) return null;
    // Windows are all as wide: the first that still reaches so far is the one to take.
    const place = free.findIndex(({ startMs }) => Math.abs(startMs - cycle.startMs) <= moveMs);
    const [origin] = place === -1 ? [] : free.splice(place, 1);
    if (origin !== undefined) changed.push({ ...cycle, origin: { cycle: origin.cycle } });
    else if (
      mayAdd &&
      spares < bed.spareCycles &&
      cycle.startMs >= bed.fromMs &&
      cycle.endMs <= bed.untilMs
    ) {
      spares++;
      changed.push({ ...cycle, origin: { spare: spares } });
    } else isShort = true;
  }
  const ofPlan = changed.filter(({ origin }) => 'cycle' in origin).length;
  if (bed.laidCycles - ofPlan > bed.leaveOutCycles) return null;
  const litres = waterOfRuns(
    supply,
    changed.flatMap(({ runs }) => runs),
  );
  return litres > bed.mostL + 1e-6 ? null : { cycles: changed, isShort };
}

/** A move by less than this is not worth an order. */
const LEAST_MOVE_MS = 4 * 60_000;
/** What begins later than this can be moved at a later look. */
const SOON_MS = 90 * 60_000;

/** Whether anything that begins soon differs by enough. */
function isWorthIt(
  standing: readonly StandingCycle[],
  changed: readonly StandingCycle[],
  fromMs: number,
): boolean {
  const keyOf = ({ bedId, origin }: StandingCycle) => `${bedId} ${JSON.stringify(origin)}`;
  const soon = (cycles: readonly StandingCycle[]) =>
    new Map(
      cycles
        .filter(({ startMs }) => startMs >= fromMs && startMs < fromMs + SOON_MS)
        .map((cycle) => [keyOf(cycle), cycle]),
    );
  const [before, after] = [soon(standing), soon(changed)];
  for (const [key, cycle] of before) {
    const now = after.get(key);
    if (now === undefined || Math.abs(now.startMs - cycle.startMs) >= LEAST_MOVE_MS) return true;
    if (now.rotations !== cycle.rotations) return true;
  }
  return [...after.keys()].some((key) => !before.has(key));
}

/** A cycle that begins so little later or sooner has not moved, for people. */
const LEAST_TOLD_MOVE_MIN = 2;

/**
 * What differs from one standing of the day to a later one, bed by bed; beds without a difference are
 * left out. From the plan as it was confirmed: all that was done within its leeway. Pure.
 */
export function usesOf(
  before: readonly StandingCycle[],
  changed: readonly StandingCycle[],
): BedUse[] {
  const bedIds = [...new Set([...before, ...changed].map(({ bedId }) => bedId))];
  const spareKey = ({ bedId, origin }: StandingCycle) => `${bedId} ${JSON.stringify(origin)}`;
  const had = new Set(before.map(spareKey));
  return bedIds.flatMap((bedId): BedUse[] => {
    const use: BedUse = { bedId, leftOut: [], moved: [], addedMs: [] };
    const own = changed.filter((cycle) => cycle.bedId === bedId);
    for (const laid of before.filter((cycle) => cycle.bedId === bedId)) {
      if (!('cycle' in laid.origin)) continue;
      const { cycle } = laid.origin;
      const now = own.find(({ origin }) => 'cycle' in origin && origin.cycle === cycle);
      if (now === undefined) use.leftOut.push(cycle);
      else {
        const byMin = (now.startMs - laid.startMs) / 60_000;
        if (Math.abs(byMin) >= LEAST_TOLD_MOVE_MIN) use.moved.push({ cycle, byMin });
      }
    }
    for (const one of own) {
      if ('spare' in one.origin && !had.has(spareKey(one))) use.addedMs.push(one.startMs);
    }
    const isUsed = use.leftOut.length + use.moved.length + use.addedMs.length > 0;
    return isUsed ? [use] : [];
  });
}

/** How many cycles were left out, moved and added, on all beds together. */
export function sumsOfUses(uses: readonly BedUse[]): {
  leftOut: number;
  moved: number;
  added: number;
} {
  const sum = (of: (use: BedUse) => number) => uses.reduce((total, use) => total + of(use), 0);
  return {
    leftOut: sum(({ leftOut }) => leftOut.length),
    moved: sum(({ moved }) => moved.length),
    added: sum(({ addedMs }) => addedMs.length),
  };
}

/** A plan as it stands once its cycles are changed: the same day with other cycles and runs. Pure. */
export function planAsItStands(plan: DayPlan, cycles: readonly StandingCycle[]): DayPlan {
  const runs = changedRuns(cycles, plan).toSorted(
    (a, b) => a.startMs - b.startMs || (a.stationId < b.stationId ? -1 : 1),
  );
  const beds = plan.beds.map((bed) => {
    const own = cycles
      .filter(({ bedId }) => bedId === bed.bedId)
      .map(({ bedId: _, runs: __, origin, ...cycle }) => {
        const laid = bed.cycles.length;
        return { ...cycle, cycle: 'cycle' in origin ? origin.cycle : laid + origin.spare };
      })
      .sort((a, b) => a.startMs - b.startMs);
    const sum = (of: (cycle: (typeof own)[number]) => number) =>
      own.reduce((total, cycle) => total + of(cycle), 0);
    const grossMm = sum((cycle) => cycle.grossMm);
    return { ...bed, cycles: own, grossMm, netMm: sum((cycle) => cycle.netMm) };
  });
  return { ...plan, beds, runs };
}

/** The runs of changed cycles, with the numbers that the plan has for them; spares count on after its last. */
export function changedRuns(
  cycles: readonly StandingCycle[],
  { beds }: Pick<DayPlan, 'beds'>,
): Run[] {
  const laid = new Map(beds.map((bed) => [bed.bedId, bed.cycles.length]));
  return cycles.flatMap(({ bedId, origin, runs }) => {
    const cycle = 'cycle' in origin ? origin.cycle : (laid.get(bedId) ?? 0) + origin.spare;
    return runs.map((run) => ({ ...run, cycle }));
  });
}

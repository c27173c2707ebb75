import { at, entryOf } from '../checked-entry.ts';
import type { SandMember } from '../futures/sand-members.ts';
import type { SeedbedStore } from '../sand/seedbed-store.ts';
import { type BedBalance, seriesOf } from '../schedule/bed-balance.ts';
import type { WorthLooking } from '../schedule/day-plan.ts';
import { STEP_MIN, STEP_MS } from '../schedule/demand.ts';
import { type LookableBed, type LookChoice, worthOfLooks } from './look-worth.ts';

/** Looks are proposed at thirds of an hour: nobody keeps to the minute. */
const FINE_MS = 20 * 60_000;
/** Every second of them is tried on all beds, those beside the best on the few best beds. */
const COARSE_MS = 2 * FINE_MS;
const SEARCHED_BEDS = 4;
/** More beds than this are not searched: nobody walks them for a look either. */
const MOST_BEDS = 100;
/** Demand at which a store is dried down to see how what is left goes with its margin, mm/h. */
const HOT_DEMAND_MM_PER_H = 0.5;

/**
 * The beds and times of a plan's day at which a look would narrow the time to dry most, by the futures
 * that the bed was planned with: each with the water of the plan, at every third of an hour. What a
 * look is to tell is how long a full store lasts at the hardest hour of the daylight.
 *
 * What is left is read off each sand's own dry-down by its margin, to a few hundredths of the store:
 * drying every future from every moment would take as long as the plan.
 *
 * @param beds those whose surface tells of their store; with the water of the plan booked
 * @param asked.eye weights of the thresholds of the eye of the person who would look
 * @returns at most two, the first in time first; none of more than 100 beds
 */
export function looksWorthTaking(
  beds: readonly { bedId: string; balance: BedBalance }[],
  asked: { eye: readonly number[]; fromMs: number; toMs: number },
): WorthLooking[] {
  if (beds.length > MOST_BEDS) return [];
  const { eye, fromMs, toMs } = asked;
  const open = beds.filter(({ balance }) => balance.futures.length > 1);
  const first = timesBetween(fromMs, toMs, COARSE_MS);
  const coarse = worthOfLooks(
    open.map((bed) => lookableBed(bed, first, asked)),
    eye,
    SEARCHED_BEDS,
  );
  const near = coarse.flatMap(({ bedId, atMs }) => {
    const bed = open.find((one) => one.bedId === bedId);
    const [lower, upper] = [Math.max(fromMs, atMs - FINE_MS), Math.min(toMs, atMs + FINE_MS + 1)];
    const times = timesBetween(lower, upper, FINE_MS);
    return bed === undefined ? [] : [lookableBed(bed, times, asked)];
  });
  return worthOfLooks(near, eye)
    .map(({ bedId, atMs }) => ({ bedId, atMs }))
    .toSorted((a, b) => a.atMs - b.atMs);
}

function timesBetween(fromMs: number, toMs: number, everyMs: number): number[] {
  const firstMs = Math.ceil(fromMs / everyMs) * everyMs;
  const count = Math.max(0, Math.ceil((toMs - firstMs) / everyMs));
  return Array.from({ length: count }, (_, index) => firstMs + index * everyMs);
}

function lookableBed(
  { bedId, balance }: { bedId: string; balance: BedBalance },
  times: readonly number[],
  { fromMs, toMs }: { fromMs: number; toMs: number },
): LookableBed {
  const { futures, grid } = balance;
  const peakStep = hardestStep(balance, fromMs, toMs);
  const peakMmPerH = at(balance.demand.demandMm, peakStep) / STEP_H;
  const hoursToDry = futures.map(({ member }) => {
    const mmPerH = Math.max(LEAST_DEMAND_MM_PER_H, member.lossFactor * peakMmPerH);
    return member.store.capacityMm(mmPerH) / mmPerH;
  });
  const choices = times.flatMap((atMs): LookChoice[] => {
    const step = Math.round((atMs - grid.startMs) / STEP_MS);
    if (step >= grid.steps) return [];
    return [{ atMs, leftFractions: leftByFutures(balance, step), hoursToDry }];
  });
  return { bedId, weights: futures.map(({ weightFraction }) => weightFraction), times: choices };
}

const LEAST_DEMAND_MM_PER_H = 0.1;

/** The step in which the air asks for most. */
function hardestStep({ grid, demand }: BedBalance, fromMs: number, toMs: number): number {
  const stepOf = (instantMs: number) =>
    Math.min(grid.steps - 1, Math.max(0, Math.floor((instantMs - grid.startMs) / STEP_MS)));
  let hardest = stepOf(fromMs);
  for (let step = hardest; step <= stepOf(toMs); step++) {
    if (at(demand.demandMm, step) > at(demand.demandMm, hardest)) hardest = step;
  }
  return hardest;
}

function leftByFutures(balance: BedBalance, step: number): number[] {
  const { follower, futures, rows } = balance;
  seriesOf(balance);
  const margins = follower.marginsMm({ rows, from: step * follower.width }, step);
  return futures.map(({ member }, k) => partOfMargin(member, at(margins, k)));
}

/** Margins of a store that dries down from full, and the part that is left at each, falling. */
interface DryDown {
  marginMm: number[];
  leftFraction: number[];
}

const dryDowns = new WeakMap<SeedbedStore, DryDown>();

/** Part of a store that is left at a margin; below 0 by how far it is below the dry limit. */
function partOfMargin({ store }: SandMember, marginMm: number): number {
  const down = dryDowns.get(store) ?? dryDownOf(store);
  dryDowns.set(store, down);
  const after = down.marginMm.findIndex((mm) => mm <= marginMm);
  if (after === 0) return 1;
  if (after === -1) return marginMm / Math.max(1e-9, entryOf(down.marginMm, 0));
  const [high, low] = [entryOf(down.marginMm, after - 1), entryOf(down.marginMm, after)];
  const [more, less] = [entryOf(down.leftFraction, after - 1), entryOf(down.leftFraction, after)];
  return less + ((more - less) * (marginMm - low)) / (high - low);
}

const STEP_H = STEP_MIN / 60;
/** A dry-down is cut into about so many steps. */
const STEPS = 24;

/** At a steady demand what is left falls evenly in time. */
function dryDownOf(store: SeedbedStore): DryDown {
  const lastsH = store.capacityMm(HOT_DEMAND_MM_PER_H) / HOT_DEMAND_MM_PER_H;
  const hours = Math.max(STEP_H, lastsH / STEPS);
  const spell = { waterMm: 0, demandMm: HOT_DEMAND_MM_PER_H * hours, hours };
  const margins: number[] = [];
  let state = store.full;
  for (let step = 0; step <= STEPS; step++) {
    const marginMm = store.marginMm(state, HOT_DEMAND_MM_PER_H);
    // Where rise keeps up with the air the margin stands still.
    if (marginMm <= 0) break;
    margins.push(marginMm);
    state = store.step(state, spell).state;
  }
  const steps = margins.length;
  margins.push(0);
  const falling = margins.map((_, step) => 1 - step / Math.max(1, steps));
  const isLower = (mm: number, step: number) => step === 0 || mm < entryOf(margins, step - 1);
  return {
    marginMm: margins.filter(isLower),
    leftFraction: falling.filter((_, step) => isLower(entryOf(margins, step), step)),
  };
}

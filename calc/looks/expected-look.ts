import { at, entryOf } from '../checked-entry.ts';
import {
  lossOfMember,
  membersOf,
  type SandMember,
  statesOfMembers,
} from '../futures/sand-members.ts';
import type { Stage } from '../growth/stages.ts';
import type { SeedbedStore, StoreState } from '../sand/seedbed-store.ts';
import { bedDemand, lossCoefficient, STEP_MIN, STEP_MS, stepGrid } from '../schedule/demand.ts';
import { addEvenly, type Run } from '../schedule/run.ts';
import type { Bed } from '../schedule/site.ts';
import { stateOfStation } from '../schedule/station-states.ts';
import type { EtHour } from '../sky/weather-hour.ts';

/** A bed at a moment, as far as the model knows. */
export interface BedAtLook {
  store: SeedbedStore;
  state: StoreState;
  /** What the air asks for at that moment. */
  demandMmPerH: number;
  /** What the air has asked for in vain since the bed was dry; none when left out. */
  unmetMm?: number;
}

/** Below this demand, as at dawn, what is left is told for this one, mm/h. */
const LEAST_DEMAND_MM_PER_H = 0.1;
/**
 * Part of a store that is left at a moment's demand; 0 or less when the bed is dry, and the further
 * below, the longer it has been: what the air has asked for in vain goes on along the same line as
 * what it took before. A bed that has been dry for an hour is not seen lightening by a blur of the eye.
 */
export function leftFraction({ store, state, demandMmPerH, unmetMm = 0 }: BedAtLook): number {
  const demand = Math.max(LEAST_DEMAND_MM_PER_H, demandMmPerH);
  const leftMm = store.leftMm(state, demand);
  return (leftMm > 0 ? leftMm : Math.min(leftMm, -unmetMm)) / store.capacityMm(demand);
}

/** What the air has asked for in vain by the end of a step: it adds up while the bed is dry. */
export function unmetAfter(beforeMm: number, moment: BedAtLook, hours: number): number {
  const { store, state, demandMmPerH } = moment;
  const isDry = demandMmPerH > 0 && store.marginMm(state, demandMmPerH) <= 0;
  return isDry ? beforeMm + demandMmPerH * hours : 0;
}

/** Water above the dry limit at a moment's demand, mm; 0 or less when the bed is dry. */
export function marginOf({ store, state, demandMmPerH }: BedAtLook): number {
  return store.marginMm(state, Math.max(LEAST_DEMAND_MM_PER_H, demandMmPerH));
}

/**
 * The moment as each sand that the bed may have sees it, by its own state and loss; null where the
 * bed's sand is taken for known.
 */
export function momentsOfMembers(
  moment: BedAtLook,
): { members: readonly SandMember[]; moments: BedAtLook[] } | null {
  const members = membersOf(moment.store);
  if (members[0]?.store === moment.store) return null;
  const states = statesOfMembers(moment.state, members);
  const moments = members.map(({ store, lossFactor }, index) => ({
    store,
    state: entryOf(states, index),
    demandMmPerH: lossFactor * moment.demandMmPerH,
  }));
  return { members, moments };
}

/** A dry seedbed gives little more: it is followed no further below its limit than this part. */
const DRIEST_FRACTION = -0.1;

/**
 * A state kept from falling far below the dry limit. A store of sums goes on losing there at the
 * full demand; the sand does not, so a dry afternoon is no debt that the next cycle has to pay.
 */
export function heldNearDryLimit(
  store: SeedbedStore,
  state: StoreState,
  demandMmPerH: number,
): StoreState {
  if (!store.isAdditive) return state;
  const demand = Math.max(LEAST_DEMAND_MM_PER_H, demandMmPerH);
  const isDrier = store.leftMm(state, demand) < DRIEST_FRACTION * store.capacityMm(demand);
  return isDrier ? store.stateAt(DRIEST_FRACTION, demand) : state;
}

const STEP_H = STEP_MIN / 60;

/** What befell a bed from an instant to a look. */
interface FollowedBed {
  bed: Bed;
  stage: Stage;
  /** By all that its sand may be. */
  store: SeedbedStore;
  fromMs: number;
  atMs: number;
  /** Without a gap from `fromMs` to beyond `atMs`. */
  hours: readonly EtHour[];
  /** Runs of this bed, each with the depth that its station gave to its part. */
  runs: readonly Run[];
  /** State of the bed at `fromMs`, of all its stations or of each. */
  stateBefore: StoreState;
  /** The bed's own stations; none: it is one part, whatever waters it. */
  stationIds: readonly string[];
}

/**
 * Part of its store that each sand that a bed may have expects to be left in the driest part of the
 * bed at the moment of a look, in the library's order; 0 or less: dry. A person who looks at a bed
 * looks for the driest part.
 *
 * Each sand is followed with the weather and the runs since `fromMs` alone, each station's part by its
 * own state and its own water. Other than the planner's balance it follows no store far below its dry
 * limit.
 *
 * @throws RangeError when the hours do not cover the time, or the state is of another store
 */
export function leftByMembers(input: FollowedBed): number[] {
  const { bed, stage, store, fromMs, atMs, hours } = input;
  const members = membersOf(store);
  // One step beyond the look: its demand is that of the moment.
  const grid = stepGrid(fromMs, atMs + STEP_MS);
  const demand = bedDemand(bed, hours, lossCoefficient(stage, hours, bed.seenCoverFraction), grid);
  const steps = Math.min(grid.steps - 1, Math.round((atMs - grid.startMs) / STEP_MS));
  const parts = partsOf(input).map(({ state, runs }) => {
    const waterMm = demand.rainMm.slice();
    for (const { startMs, runS, netMm } of runs) {
      addEvenly(waterMm, grid, { startMs, endMs: startMs + runS * 1000, netMm });
    }
    return { states: statesOfMembers(state, members), waterMm };
  });
  return members.map((member, index) => {
    const demandMm = demand.demandMm.map((mm, step) =>
      lossOfMember(member, mm, demand.nightExtraMm?.[step] ?? 0),
    );
    const left = parts.map(({ states, waterMm }) =>
      leftFraction(followed(member.store, entryOf(states, index), { demandMm, waterMm, steps })),
    );
    return Math.min(...left);
  });
}

interface Part {
  state: StoreState;
  runs: readonly Run[];
}

/** The stations' parts, each kind once: those that stood alike and were given alike are one. */
function partsOf({ stationIds, stateBefore, store, runs }: FollowedBed): Part[] {
  if (stationIds.length === 0) return [{ state: stateBefore, runs }];
  const parts = new Map<string, Part>();
  for (const id of stationIds) {
    const state = stateOfStation(stateBefore, id, store);
    const own = runs.filter((run) => run.stationId === id);
    const given = own.map(({ startMs, runS, netMm }) => [startMs, runS, netMm]);
    parts.set(JSON.stringify([state, given]), { state, runs: own });
  }
  return [...parts.values()];
}

/** One sand of one part, brought up to a step with what the air asks of it and what it gets. */
function followed(
  store: SeedbedStore,
  stateBefore: StoreState,
  series: { demandMm: Float64Array; waterMm: Float64Array; steps: number },
): BedAtLook {
  const { demandMm, waterMm, steps } = series;
  let state = stateBefore;
  let unmetMm = 0;
  for (let step = 0; step < steps; step++) {
    const askedMm = at(demandMm, step);
    const demandMmPerH = askedMm / STEP_H;
    state = store.step(state, {
      waterMm: at(waterMm, step),
      demandMm: askedMm,
      hours: STEP_H,
    }).state;
    state = heldNearDryLimit(store, state, demandMmPerH);
    unmetMm = unmetAfter(unmetMm, { store, state, demandMmPerH }, STEP_H);
  }
  return { store, state, demandMmPerH: Math.max(0, at(demandMm, steps)) / STEP_H, unmetMm };
}

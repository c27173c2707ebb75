import { at as checkedAt, entryOf } from '../checked-entry.ts';
import type { SandMember } from '../futures/sand-members.ts';
import { weightedQuantiles } from '../futures/weighted-quantile.ts';
import { type BedDemand, STEP_MIN, type StepGrid } from './demand.ts';

/** A name of its own: where tests wrap modules, an imported one is looked up again at every call. */
const at = checkedAt;

const STEP_H = STEP_MIN / 60;
/** The band within which nine of ten futures lie, and the middle one. */
const LOWER_FRACTION = 0.05;
const MIDDLE_FRACTION = 0.5;
const UPPER_FRACTION = 0.95;

/** One way in which the day and the bed's sand may turn out. */
export interface BedFuture extends BedDemand {
  member: SandMember;
  /** Its place among the bed's members. */
  index: number;
  weightFraction: number;
}

/** A bed to be followed: its futures, the parts that are watered apart, and the risk that is accepted. */
export interface FollowedBed {
  futures: readonly BedFuture[];
  parts: number;
  grid: StepGrid;
  /** Accepted share of the futures in which the bed is dry, 0 to below 1. */
  riskFraction: number;
}

/** A state of a bed, all futures of all its parts: a stretch of a row of numbers. */
export interface BedState {
  rows: Float64Array;
  from: number;
}

/** Margins above the dry limit over the futures of a bed, mm. */
export interface Margins {
  /** The accepted share of the futures lies below. */
  riskMm: number;
  middleMm: number;
  /** The two ends of the band. */
  lowerMm: number;
  upperMm: number;
}

/** How the states of a bed lie in a row, and how they are taken from one step to the next. */
export interface BedFollower {
  /** Numbers of one state. */
  width: number;
  /** Where the state of a future in a part begins. */
  offsetOf(part: number, future: number): number;
  /**
   * A step of the grid with what each part gets, mm.
   *
   * @returns what drains, mean over the futures of the part that drains most, mm
   */
  step(from: BedState, to: BedState, step: number, partsMm: readonly number[]): number;
  /** At the beginning of a step; after the grid's end as in its last. Good until the next call. */
  margins(state: BedState, step: number): Readonly<Margins>;
  /** The same of each future, mm. Good until the next call. */
  marginsMm(state: BedState, step: number): Float64Array;
  /** What each part can take without draining in the middle one of its futures, mm. */
  roomsMm(state: BedState): number[];
}

export function bedFollower(bed: FollowedBed): BedFollower {
  const { futures, parts, grid, riskFraction } = bed;
  const count = futures.length;
  const offsets: number[] = [];
  let width = 0;
  for (let part = 0; part < parts; part++) {
    for (const { member } of futures) {
      offsets.push(width);
      width += member.store.rows.names.length;
    }
  }
  const weights = Float64Array.from(futures, ({ weightFraction }) => weightFraction);
  const total = weights.reduce((sum, weight) => sum + weight, 0);
  const values = new Float64Array(count);
  const asked = [riskFraction, LOWER_FRACTION, MIDDLE_FRACTION, UPPER_FRACTION];
  const inOrder = asked.toSorted((a, b) => a - b);
  const [riskAt, lowerAt, middleAt, upperAt] = asked.map((one) => inOrder.indexOf(one)) as [
    number,
    number,
    number,
    number,
  ];
  const quantiles = new Float64Array(asked.length);
  const margins: Margins = { riskMm: 0, middleMm: 0, lowerMm: 0, upperMm: 0 };
  const place = { from: 0, to: 0 };
  const spell = { waterMm: 0, demandMm: 0, hours: STEP_H };
  const offset = (part: number, future: number) => entryOf(offsets, part * count + future);
  const marginsMm = (state: BedState, step: number): Float64Array => {
    const demandStep = Math.min(step, grid.steps - 1);
    for (let k = 0; k < count; k++) {
      const { member, demandMm } = entryOf(futures, k);
      // Over no time nothing is asked.
      const rate = demandStep < 0 ? 0 : Math.max(0, at(demandMm, demandStep)) / STEP_H;
      let leastMm = Number.POSITIVE_INFINITY;
      for (let part = 0; part < parts; part++) {
        const mm = member.store.rows.marginMm(state.rows, state.from + offset(part, k), rate);
        if (mm < leastMm) leastMm = mm;
      }
      values[k] = leastMm;
    }
    return values;
  };
  return {
    width,
    offsetOf: offset,
    step(from, to, step, partsMm) {
      let drainedMm = 0;
      for (let k = 0; k < count; k++) {
        const { member, demandMm, rainMm, netFactor } = entryOf(futures, k);
        const { rows } = member.store;
        spell.demandMm = at(demandMm, step);
        const rain = at(rainMm, step);
        const reaches = netFactor === undefined ? 1 : at(netFactor, step);
        let mostMm = 0;
        for (let part = 0; part < parts; part++) {
          spell.waterMm = rain + reaches * (partsMm[part] ?? 0);
          const own = offset(part, k);
          place.from = from.from + own;
          place.to = to.from + own;
          if (from.rows !== to.rows) {
            for (let i = 0; i < rows.names.length; i++) {
              to.rows[place.to + i] = at(from.rows, place.from + i);
            }
            place.from = place.to;
          }
          mostMm = Math.max(mostMm, rows.step(to.rows, place, spell));
        }
        drainedMm += (at(weights, k) / total) * mostMm;
      }
      return drainedMm;
    },
    marginsMm,
    margins(state, step) {
      marginsMm(state, step);
      if (count === 1) quantiles.fill(at(values, 0));
      else weightedQuantiles(values, weights, inOrder, quantiles);
      margins.riskMm = at(quantiles, riskAt);
      margins.lowerMm = at(quantiles, lowerAt);
      margins.middleMm = at(quantiles, middleAt);
      margins.upperMm = at(quantiles, upperAt);
      return margins;
    },
    roomsMm(state) {
      const rooms: number[] = [];
      for (let part = 0; part < parts; part++) {
        for (let k = 0; k < count; k++) {
          const { store } = entryOf(futures, k).member;
          values[k] = store.rows.roomMm(state.rows, state.from + offset(part, k));
        }
        if (count > 1) weightedQuantiles(values, weights, [MIDDLE_FRACTION], quantiles);
        rooms.push(count > 1 ? at(quantiles, 0) : at(values, 0));
      }
      return rooms;
    },
  };
}

import { optimumOf } from './mixed-integer.ts';
import {
  judge,
  type SmallCase,
  type SmallCost,
  type SmallCycle,
  smallCaseOf,
  type Tightness,
} from './optimum-case.ts';

/** A small case with the cost of its proved optimum. */
export interface SolvedCase {
  seed: number;
  one: SmallCase;
  proved: boolean;
  /** True when some plan has no minute below the reserve. */
  feasible: boolean;
  optimum: SmallCost;
}

/** By how much a planner stands behind the optimum, over many cases. */
export interface Comparison {
  cases: number;
  proved: number;
  /** Cases with a plan without a shortage, and in how many of them the planner has one. */
  feasible: number;
  lost: number[];
  /** Excess of minutes below the reserve over the optimum, over all cases. */
  excessMin: { mean: number; worst: number };
  /** Excess where the optimum has no shortage, part of the optimum's. */
  cyclesFraction: { mean: number; worst: number };
  waterFraction: { mean: number; worst: number };
}

/** Solves the cases of the seeds, each within the time. */
export async function solvedCases(
  seeds: readonly number[],
  limitS: number,
  tightness: Tightness = 'by_chance',
): Promise<SolvedCase[]> {
  const solved: SolvedCase[] = [];
  for (const seed of seeds) {
    const one = smallCaseOf(seed, tightness);
    const { cycles, proved, feasible } = await optimumOf(one, limitS);
    solved.push({ seed, one, proved, feasible, optimum: judge(one, cycles) });
  }
  return solved;
}

/** Holds a planner against the optimum; throws when one of its plans breaks a limit. */
export function comparison(
  solved: readonly SolvedCase[],
  plan: (one: SmallCase) => SmallCycle[],
): Comparison {
  const costs = solved.map((one) => ({ ...one, cost: judge(one.one, plan(one.one)) }));
  const feasible = costs.filter((one) => one.feasible);
  return {
    cases: solved.length,
    proved: solved.filter((one) => one.proved).length,
    feasible: feasible.length,
    lost: feasible.filter((one) => one.cost.minutesBelowReserve > 0).map((one) => one.seed),
    excessMin: spread(
      costs.map(({ cost, optimum }) => cost.minutesBelowReserve - optimum.minutesBelowReserve),
    ),
    cyclesFraction: spread(feasible.map(({ cost, optimum }) => cost.cycles / optimum.cycles - 1)),
    waterFraction: spread(feasible.map(({ cost, optimum }) => cost.netMm / optimum.netMm - 1)),
  };
}

/** What a planner has to keep: never short where it need not be, 5 % of cycles, 2 % of water. */
export function isNearOptimal({ lost, cyclesFraction, waterFraction }: Comparison): boolean {
  return lost.length === 0 && cyclesFraction.mean <= 0.05 && waterFraction.mean <= 0.02;
}

function spread(values: readonly number[]): { mean: number; worst: number } {
  const sum = values.reduce((total, value) => total + value, 0);
  return { mean: sum / Math.max(1, values.length), worst: Math.max(0, ...values) };
}

/** By how much a planner is drier than the optimum where supply is short or water ends early. */
export interface TightComparison {
  cases: number;
  /** Cases that no plan keeps moist. */
  short: number;
  /** Of those: with all minutes of all beds counted, and with those of the driest bed. */
  allBeds: Excess;
  worstBed: Excess;
}

interface Excess {
  proved: number;
  /** Dry minutes of the optimum, or of the best that was found, and of the planner, over all cases. */
  optimumMin: number;
  plannerMin: number;
  worstExcessMin: number;
}

/**
 * Holds the planner against the optimum on short days. The two optima pull apart: the sum is least
 * where the bed that takes most water goes dry, the driest bed fares best where all are equally dry.
 */
export async function tightComparison(
  seeds: readonly number[],
  limitS: number,
  tightness: Tightness,
  plan: (one: SmallCase) => SmallCycle[],
): Promise<TightComparison> {
  const none = (): Excess => ({ proved: 0, optimumMin: 0, plannerMin: 0, worstExcessMin: 0 });
  const found: TightComparison = {
    cases: seeds.length,
    short: 0,
    allBeds: none(),
    worstBed: none(),
  };
  for (const seed of seeds) {
    const one = smallCaseOf(seed, tightness);
    const planned = judge(one, plan(one));
    const add = (to: Excess, proved: boolean, optimumMin: number, plannerMin: number) => {
      if (proved) to.proved += 1;
      to.optimumMin += optimumMin;
      to.plannerMin += plannerMin;
      to.worstExcessMin = Math.max(to.worstExcessMin, plannerMin - optimumMin);
    };
    const all = await optimumOf(one, limitS);
    const best = judge(one, all.cycles);
    if (best.minutesBelowReserve === 0 && planned.minutesBelowReserve === 0) continue;
    found.short += 1;
    add(found.allBeds, all.proved, best.minutesBelowReserve, planned.minutesBelowReserve);
    const worst = await optimumOf(one, limitS, 'worst_bed');
    add(found.worstBed, worst.proved, judge(one, worst.cycles).worstBedMin, planned.worstBedMin);
  }
  return found;
}

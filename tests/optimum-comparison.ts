import { optimumOf } from './mixed-integer.ts';
import {
  judge,
  type SmallCase,
  type SmallCost,
  type SmallCycle,
  smallCase,
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
export async function solvedCases(seeds: readonly number[], limitS: number): Promise<SolvedCase[]> {
  const solved: SolvedCase[] = [];
  for (const seed of seeds) {
    const one = smallCase(seed);
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

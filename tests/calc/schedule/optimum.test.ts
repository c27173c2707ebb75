import { beforeAll, describe, expect, it } from 'vitest';
import { firstCome } from '../../first-come.ts';
import { plannedCycles } from '../../optimum-case.ts';
import {
  comparison,
  isNearOptimal,
  type SolvedCase,
  solvedCases,
  tightComparison,
} from '../../optimum-comparison.ts';

/** One stretch of the seeds of `npm run bench -- optimum`, which holds over 200 cases. */
const SEEDS = Array.from({ length: 24 }, (_, index) => 80 + index);
const LIMIT_S = 20;

describe('the planner against the proved optimum of a mixed integer programme', () => {
  let solved: SolvedCase[] = [];
  beforeAll(async () => {
    solved = await solvedCases(SEEDS, LIMIT_S);
  }, 120_000);

  it('has optima to be held against, all of them proved, some with a shortage', () => {
    expect(solved.filter((one) => one.proved)).toHaveLength(SEEDS.length);
    expect(solved.filter((one) => one.feasible).length).toBeGreaterThan(18);
  });

  it('is never short where that can be avoided, near in cycles and in water', () => {
    const planner = comparison(solved, plannedCycles);
    expect(planner.lost).toEqual([]);
    expect(planner.cyclesFraction.mean).toBeLessThanOrEqual(0.05);
    expect(planner.waterFraction.mean).toBeLessThanOrEqual(0.02);
    expect(isNearOptimal(planner)).toBe(true);
  });

  it('leaves beds no drier than the optimum where water ends three hours before sunset', async () => {
    const rush = await tightComparison([2, 6, 9, 15], LIMIT_S, 'evening_rush', plannedCycles);
    expect(rush.short).toBe(2);
    expect(rush.allBeds.proved).toBe(2);
    // A last dose may drain in part, which the programme does not know: so it can be below it.
    expect(rush.allBeds.worstExcessMin).toBe(0);
    expect(rush.worstBed.worstExcessMin).toBe(0);
  }, 120_000);

  it('would refuse a planner that serves beds as they come', () => {
    const control = comparison(solved, firstCome);
    expect(control.lost.length).toBeGreaterThan(0);
    expect(control.cyclesFraction.mean).toBeGreaterThan(0.05);
    expect(control.waterFraction.mean).toBeGreaterThan(0.02);
    expect(isNearOptimal(control)).toBe(false);
  });
});

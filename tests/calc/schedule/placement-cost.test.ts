import { describe, expect, it } from 'vitest';
import {
  bedCost,
  isCheaper,
  isDryLonger,
  type PlacementCost,
  sumOfCosts,
} from '../../../calc/schedule/bed-dryness.ts';
import { at, handBed } from '../../laid-day.ts';

const cost = (
  ...[dry, reserve, cycles, netMm]: [number, number, number, number]
): PlacementCost => ({
  minutesBelowDryLimit: dry,
  minutesBelowReserve: reserve,
  cycles,
  netMm,
});

describe('what a bed’s day costs', () => {
  const window = { firstStartMs: at(0), lastEndMs: at(30), nextFirstStartMs: at(40) };
  const input = { window };
  const day = (lossMm: (step: number) => number) =>
    bedCost(
      handBed({ id: 'bed', storeMm: 0.4, lossMm }).balance,
      [{ block: { netMm: 0.6 } }, { block: { netMm: 1.2 } }],
      input,
    );

  it('is its minutes below the reserve and the dry limit, until tomorrow’s first water', () => {
    // 0.4, 0.3 (the reserve itself), 0.2, 0.1, 0, -0.1, -0.2, -0.3; the step at 40 min is tomorrow's.
    const found = day(() => 0.1);
    expect(found).toMatchObject({
      minutesBelowReserve: 30,
      minutesBelowDryLimit: 15,
      firstShortMs: at(10),
      cycles: 2,
    });
    expect(found.netMm).toBeCloseTo(1.8, 9);
  });

  it('counts no minute in which nothing is lost', () => {
    const found = day((step) => (step < 3 ? 0.2 : step < 20 ? 0 : 0.1));
    expect(found).toMatchObject({ minutesBelowReserve: 10, minutesBelowDryLimit: 0 });
    expect(day(() => 0).firstShortMs).toBeNull();
  });
});

describe('one cost against another', () => {
  const base = cost(10, 20, 3, 2);

  it('is summed figure by figure', () => {
    expect(sumOfCosts([base, cost(1, 2, 3, 4), cost(5, 6, 7, 8)])).toEqual(cost(16, 28, 13, 14));
    expect(sumOfCosts([])).toEqual(cost(0, 0, 0, 0));
  });

  it.each([
    ['fewer dry minutes, whatever else', cost(9, 99, 9, 9), true],
    ['more dry minutes, whatever else', cost(11, 0, 0, 0), false],
    ['fewer minutes below the reserve', cost(10, 19, 9, 9), true],
    ['more minutes below the reserve', cost(10, 21, 0, 0), false],
    ['fewer cycles', cost(10, 20, 2, 9), true],
    ['more cycles', cost(10, 20, 4, 0), false],
    ['less water', cost(10, 20, 3, 1.9), true],
    ['more water', cost(10, 20, 3, 2.1), false],
    ['the same', base, false],
  ])('is cheaper for %s: %s', (_, other, expected) => {
    expect(isCheaper(other, base)).toBe(expected);
  });

  it('is drier for minutes alone', () => {
    expect(isDryLonger(cost(11, 0, 0, 0), base)).toBe(true);
    expect(isDryLonger(cost(9, 99, 9, 9), base)).toBe(false);
    expect(isDryLonger(cost(10, 21, 0, 0), base)).toBe(true);
    expect(isDryLonger(base, base)).toBe(false);
  });
});

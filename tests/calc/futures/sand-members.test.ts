import { describe, expect, it } from 'vitest';
import {
  libraryStore,
  lossOfMember,
  membersOf,
  middleOf,
  type SandMember,
  stateOfAll,
  statesOfMembers,
} from '../../../calc/futures/sand-members.ts';
import { plainStore } from '../../../calc/sand/seedbed-store.ts';

const member = (
  capacityMm: number,
  weightFraction: number,
  change: Partial<SandMember> = {},
): SandMember => ({
  store: plainStore({ capacityMm, feedMmPerH: 0 }),
  weightFraction,
  lossFactor: 1,
  nightFraction: 0,
  ...change,
});

describe('a bed that may have several sands', () => {
  const members = [
    member(1, 0.25),
    member(2, 0.5, { lossFactor: 1.5 }),
    member(4, 0.25, { nightFraction: 0.5 }),
  ];
  const library = libraryStore(members);

  it('follows each by its own loss, and drains their mean', () => {
    const step = { waterMm: 0.8, demandMm: 0.4, nightExtraMm: 0.2, hours: 1 };
    const { state, drainedMm } = library.step(library.full, step);
    // 0.4 mm more than it loses, 0.2 and 0.3: all of them are full again.
    expect(state).toEqual({ storeMm1: 1, storeMm2: 2, storeMm3: 4 });
    expect(drainedMm).toBeCloseTo(0.25 * 0.4 + 0.5 * 0.2 + 0.25 * 0.3, 12);
    const dry = library.step(state, { ...step, waterMm: 0 });
    expect(dry.drainedMm).toBe(0);
    expect(dry.state).toEqual({ storeMm1: 0.6, storeMm2: 1.4, storeMm3: 3.5 });
  });

  it('tells what the middle of their weight has', () => {
    const state = { storeMm1: 0.1, storeMm2: 0.5, storeMm3: 0.2 };
    // In order of what they have: 0.1 of a quarter, 0.2 of another, 0.5.
    expect(library.marginMm(state, 0.3)).toBeCloseTo(0.2, 12);
    // Room: 0.9 of a quarter, 1.5 of a half.
    expect(library.roomMm(state)).toBeCloseTo(1.5, 12);
    // Of the bed's own loss, which the second has half as much again of: 1, 4/3 and 4.
    expect(library.capacityMm(1)).toBeCloseTo(2 / 1.5, 12);
  });

  it('takes a state apart and puts it together, whatever its sands remember', () => {
    const own = statesOfMembers(library.full, members);
    expect(own).toEqual([{ storeMm: 1 }, { storeMm: 2 }, { storeMm: 4 }]);
    expect(stateOfAll(members, own)).toEqual(library.full);
    expect(() => statesOfMembers({ storeMm1: 1 }, members)).toThrow(RangeError);
  });

  it('is the sand itself where there is one, as it stands', () => {
    const { store } = member(1, 1);
    expect(libraryStore([member(1, 1, { store })])).toBe(store);
    expect(membersOf(store)).toEqual([
      { store, weightFraction: 1, lossFactor: 1, nightFraction: 0 },
    ]);
    expect(membersOf(libraryStore([member(1, 1, { lossFactor: 1.2 })]))).toHaveLength(1);
  });

  it('has one sand at least, all of which weigh something', () => {
    expect(() => libraryStore([])).toThrow(RangeError);
    expect(() => libraryStore([member(1, 1), member(1, 0)])).toThrow(RangeError);
    expect(() => library.rows.roomMm(new Float64Array(3), 0)).toThrow(RangeError);
  });

  it('takes the driest of as much weight on either side for the middle', () => {
    const of = (...weights: number[]) =>
      middleOf(
        weights.map((weight) => member(1, weight)),
        (_, index) => index,
      );
    expect(of(0.5, 0.5)).toBe(0);
    expect(of(0.2, 0.3, 0.5)).toBe(1);
    expect(of(0.2, 0.29, 0.51)).toBe(2);
  });
});

describe('what a sand loses', () => {
  it('is the factor of what is lost, and of the night as much as it does not keep', () => {
    expect(lossOfMember({ lossFactor: 1.2, nightFraction: 0.5 }, 0.1, 0.2)).toBeCloseTo(0.24, 12);
    // Dew falls on all alike, until the night's loss takes it away.
    expect(lossOfMember({ lossFactor: 1.2, nightFraction: 0 }, -0.1, 0.2)).toBeCloseTo(-0.1, 12);
    expect(lossOfMember({ lossFactor: 1.2, nightFraction: 0.25 }, -0.1, 0.2)).toBeCloseTo(
      -0.05,
      12,
    );
    expect(lossOfMember({ lossFactor: 1.2, nightFraction: 1 }, -0.1, 0.2)).toBeCloseTo(0.12, 12);
  });
});

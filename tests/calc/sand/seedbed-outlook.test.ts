import { describe, expect, test } from 'vitest';
import {
  type DemandSpell,
  hoursToDry,
  type SeedbedDynamics,
  storeMm,
} from '../../../calc/sand/seedbed-dynamics.ts';
import type { SeedbedModel, SeedbedState } from '../../../calc/sand/seedbed-model.ts';

/** An invented bed: it gives what is asked, and is dry a tenth of an hour’s demand before it is empty. */
function bucket() {
  const looksH: number[] = [];
  const dynamics = {
    marginMm: (state: { mm: number }, demandMmPerH: number) => state.mm - 0.1 * demandMmPerH,
    step: (
      { mm }: { mm: number },
      { waterMm, demandMm, hours }: { waterMm: number; demandMm: number; hours: number },
    ) => {
      looksH.push(hours);
      return { state: { mm: mm + waterMm - demandMm }, drainedMm: 0, evaporatedMm: demandMm };
    },
  } as unknown as SeedbedDynamics;
  return { dynamics, looksH };
}
const model = {} as SeedbedModel;
const full = (mm: number) => ({ mm }) as unknown as SeedbedState;
const dry = (mm: number, ...series: DemandSpell[]) =>
  hoursToDry(model, full(mm), series, bucket().dynamics);

describe('the time until a bed is dry', () => {
  test('is when its margin is gone, between two looks', () => {
    // 1 mm less 0.05 for the demand of 0.5 mm/h: 1.9 h.
    const found = dry(1, { hours: 5, demandMmPerH: 0.5 });
    expect(found?.hours).toBeCloseTo(1.9, 9);
    expect(found?.evaporatedMm).toBeCloseTo(0.95, 9);
    expect(dry(1, { hours: 1.8, demandMmPerH: 0.5 })).toBeNull();
  });

  test('is looked for every five minutes at least', () => {
    const looks = (hours: number) => {
      const one = bucket();
      hoursToDry(model, full(9), [{ hours, demandMmPerH: 0.1 }], one.dynamics);
      return one.looksH;
    };
    expect(looks(1)).toHaveLength(12);
    expect(looks(0.1)).toEqual([0.05, 0.05]);
    expect(looks(0.01)).toEqual([0.01]);
  });

  test('is none for a bed that is dry already at the first demand', () => {
    expect(dry(0.05, { hours: 1, demandMmPerH: 0.5 })).toEqual({ hours: 0, evaporatedMm: 0 });
    expect(dry(0.04, { hours: 1, demandMmPerH: 0.5 })?.hours).toBe(0);
    const later = dry(0.05, { hours: 2, demandMmPerH: 0 }, { hours: 1, demandMmPerH: 0.5 });
    expect(later?.hours).toBeCloseTo(2, 9);
    expect(later?.evaporatedMm).toBe(0);
  });

  test('goes on from spell to spell, each with its own demand', () => {
    const found = dry(1, { hours: 1, demandMmPerH: 0.5 }, { hours: 9, demandMmPerH: 0.25 });
    // 0.5 mm are left after an hour, of which 0.475 can be given at 0.25 mm/h.
    expect(found?.hours).toBeCloseTo(1 + 0.475 / 0.25, 9);
    expect(found?.evaporatedMm).toBeCloseTo(0.5 + 0.475, 9);
    const hotter = dry(0.6, { hours: 1, demandMmPerH: 0.5 }, { hours: 1, demandMmPerH: 2 });
    // 0.1 mm are left, less than a tenth of what two millimetres an hour ask for.
    expect(hotter?.hours).toBeGreaterThanOrEqual(1);
    expect(hotter?.hours).toBeLessThanOrEqual(1 + 1 / 12);
  });

  test('does not end under water', () => {
    const wet: DemandSpell = { hours: 1, demandMmPerH: 0.5, waterMmPerH: 0.2 };
    expect(dry(0.01, wet)).toBeNull();
    // 0.01 + 0.2 - 0.5 mm: dry once the water has ended.
    expect(dry(0.01, wet, { hours: 1, demandMmPerH: 0.5 })).toEqual({
      hours: expect.closeTo(1, 9),
      evaporatedMm: expect.closeTo(0.5, 9),
    });
    const enough = dry(0.01, { ...wet, waterMmPerH: 1 }, { hours: 5, demandMmPerH: 0.5 });
    expect(enough?.hours).toBeCloseTo(1 + (0.51 - 0.05) / 0.5, 9);
    const night = dry(0.2, { hours: 1, demandMmPerH: 0 }, { hours: 1, demandMmPerH: 0.5 });
    expect(night?.hours).toBeCloseTo(1 + 0.15 / 0.5, 9);
  });
});

describe('what can still evaporate', () => {
  const store = (mm: number, demandMmPerH: number, mostHours?: number) =>
    storeMm(model, full(mm), {
      demandMmPerH,
      dynamics: bucket().dynamics,
      ...(mostHours === undefined ? {} : { mostHours }),
    });

  test('is what is given until the bed is dry, of two days at most', () => {
    expect(store(1, 0.5)).toBeCloseTo(0.95, 9);
    expect(store(1, 0.01)).toBeCloseTo(0.48, 9);
    expect(store(1, 0.5, 1)).toBeCloseTo(0.5, 9);
    expect(store(0, 0.5)).toBe(0);
  });

  test('is asked for at a demand', () => {
    expect(() => store(1, 0)).toThrow('storeMm: demand must be above 0 (got 0)');
    expect(() => store(1, Number.NaN)).toThrow(RangeError);
  });
});

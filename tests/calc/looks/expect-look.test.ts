import { describe, expect, it } from 'vitest';
import {
  type BedAtLook,
  heldNearDryLimit,
  leftFraction,
  unmetAfter,
} from '../../../calc/looks/expected-look.ts';
import { plainStore } from '../../../calc/sand/seedbed-store.ts';

const store = plainStore({ capacityMm: 2, feedMmPerH: 0 });
const moment = (storeMm: number): BedAtLook => ({ store, state: { storeMm }, demandMmPerH: 0.5 });

describe('what is left at a look', () => {
  it('is a part of the store while there is any, whatever was asked for in vain before', () => {
    expect(leftFraction(moment(1))).toBeCloseTo(0.5, 12);
    expect(leftFraction({ ...moment(1), unmetMm: 1 })).toBeCloseTo(0.5, 12);
  });

  it('falls further below nothing the longer a bed has been dry', () => {
    let unmetMm = 0;
    for (let hour = 0; hour < 2; hour++) unmetMm = unmetAfter(unmetMm, moment(0), 1);
    expect(unmetMm).toBeCloseTo(1, 12);
    expect(leftFraction({ ...moment(0), unmetMm })).toBeCloseTo(-0.5, 12);
  });

  it('begins anew once the bed was watered, and does not grow where the air asks for nothing', () => {
    expect(unmetAfter(1, moment(0.4), 1)).toBe(0);
    expect(unmetAfter(1, { ...moment(-0.1), demandMmPerH: 0 }, 1)).toBe(0);
  });
});

describe('the demand of a look', () => {
  it('asks at a tenth of a millimetre an hour at least', () => {
    const fed = plainStore({ capacityMm: 2, feedMmPerH: 0.05 });
    const at = (demandMmPerH: number) =>
      leftFraction({ store: fed, state: { storeMm: 1 }, demandMmPerH });
    expect(at(0)).toBe(at(0.1));
    expect(at(0.05)).toBe(at(0.1));
    const deep = { store: fed, state: { storeMm: -0.3 }, demandMmPerH: 0.2 };
    expect(leftFraction(deep)).toBeCloseTo(leftFraction({ ...deep, unmetMm: 0.1 }), 12);
    expect(leftFraction({ ...deep, unmetMm: 0.6 })).toBeCloseTo(2 * leftFraction(deep), 9);
  });
});

describe('a dry bed', () => {
  it('is followed no further below its limit than a tenth of what it holds', () => {
    const kept = (storeMm: number) => heldNearDryLimit(store, { storeMm }, 0.5)['storeMm'];
    expect(kept(-0.19)).toBe(-0.19);
    expect(kept(-0.2)).toBeCloseTo(-0.2, 12);
    expect(kept(-0.21)).toBeCloseTo(-0.2, 12);
    expect(kept(1)).toBe(1);
    const model = { ...store, isAdditive: false };
    expect(heldNearDryLimit(model, { storeMm: -9 }, 0.5)).toEqual({ storeMm: -9 });
  });

  it('asks in vain for what the air wants while it is dry', () => {
    expect(unmetAfter(0.25, moment(-0.1), 0.5)).toBeCloseTo(0.5, 12);
    expect(unmetAfter(0, moment(0), 2)).toBeCloseTo(1, 12);
  });
});

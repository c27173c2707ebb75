import { describe, expect, it } from 'vitest';
import { type BedMoment, leftFraction, unmetAfter } from '../../../calc/looks/expect-look.ts';
import { plainStore } from '../../../calc/sand/plain-store.ts';

const store = plainStore({ capacityMm: 2, feedMmPerH: 0 });
const moment = (storeMm: number): BedMoment => ({ store, state: { storeMm }, demandMmPerH: 0.5 });

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

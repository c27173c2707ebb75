import { describe, expect, it } from 'vitest';
import { breaksPumpRest, shortStandstills } from '../../../calc/schedule/pump-rest.ts';

/** Runs at 100 to 200 and 150 to 250, then at 400 to 500; the pump has to rest for 100. */
const times = {
  pumpRestMs: 100,
  pumpStoppedMs: null,
  starts: [100, 150, 400],
  ends: [200, 250, 500],
};

describe('the rest of the pump', () => {
  it.each([
    [250, 300, false, 'begins as the last valve shuts, ends with the rest still to come'],
    [251, 300, true, 'begins a moment after the pump stopped'],
    [349, 400, true, 'begins before the rest is over'],
    [350, 400, false, 'begins as the rest is over and runs into the next'],
    [350, 399, true, 'stops a moment before the next start'],
    [220, 301, true, 'joins the runs before, and stops too late for the next to start'],
    [220, 430, false, 'bridges both'],
    [160, 190, false, 'runs while others run'],
    [0, 1, true, 'stops too soon before the first'],
    [-50, 0, false, 'rests exactly as long before the first'],
    [600, 700, false, 'rests exactly as long after the last'],
    [599, 700, true, 'rests too little after the last'],
  ])('from %d to %d: broken is %s, since it %s', (startMs, endMs, broken) => {
    expect(breaksPumpRest(times, { startMs, endMs })).toBe(broken);
    expect(breaksPumpRest({ ...times, pumpRestMs: 0 }, { startMs, endMs })).toBe(false);
  });

  it('counts from when the pump stopped before the plan', () => {
    const before = { ...times, starts: [], ends: [], pumpStoppedMs: 40 };
    expect(breaksPumpRest(before, { startMs: 139, endMs: 200 })).toBe(true);
    expect(breaksPumpRest(before, { startMs: 140, endMs: 200 })).toBe(false);
  });

  it('shows where runs stand too close once one between them is taken out', () => {
    expect(shortStandstills(times)).toBe(0);
    expect(shortStandstills({ ...times, pumpRestMs: 151 })).toBe(1);
    expect(shortStandstills({ ...times, pumpStoppedMs: 50 })).toBe(1);
    expect(shortStandstills({ ...times, starts: [100, 150, 250], ends: [200, 250, 300] })).toBe(0);
  });
});

import { describe, expect, it } from 'vitest';
import { dryBandMs, reserveOf } from '../../../calc/schedule/bed-moisture.ts';
import { bedPlan, laidCycle } from '../../../calc/schedule/bed-plan.ts';
import { at, type HandBed, laidDay, minutesOf } from '../../laid-day.ts';
import { smallDay } from '../../small-day.ts';

/** Sums of halves: 1 mm of 1.5 is gone at 80 min of 240; a turn of two minutes brings half a one. */
function plan(
  change: Partial<HandBed> = {},
  day: { nextMin?: number; light?: [number, number]; startMin?: number } = {},
) {
  const { nextMin = 120, light = [20, 100], startMin = 0 } = day;
  const window = { firstStartMs: at(0), lastEndMs: at(110), nextFirstStartMs: at(nextMin) };
  const layout = laidDay(
    [
      {
        id: 'bed-1',
        stations: [{ precipitationRateMmPerH: 15 }],
        lossMm: () => 1 / 16,
        ...change,
      },
    ],
    { window },
  );
  const [laid] = layout.beds;
  const [bed] = smallDay({}).site.beds;
  if (laid === undefined || bed === undefined) throw new Error('no bed');
  return bedPlan({
    bed,
    balance: laid.balance,
    dryAtMs: at(80),
    dryBand: dryBandMs(laid.placing.balance, at(startMin)),
    reserveMm: reserveOf(laid.placing.balance),
    startMs: at(startMin),
    window,
    daylight: { startMs: at(light[0]), endMs: at(light[1]) },
    laid: laid.cycles.map(({ startMs, block, driftLossFraction, drainedMm }) =>
      laidCycle({ bedId: 'bed-1', startMs, block, driftLossFraction, drainedMm, reasons: [] }),
    ),
    stations: laid.placing.stations,
    germination: null,
  });
}

describe('a bed’s day in figures', () => {
  it('is its loss and its store until tomorrow’s first water, to the end of that step', () => {
    const found = plan();
    expect(found.lossMm).toBe(25 / 16);
    expect(found.expectedStore).toMatchObject({ startMs: at(0), stepMin: 5 });
    expect(found.expectedStore.storeMm).toHaveLength(26);
    expect(plan({}, { nextMin: 124 }).expectedStore.storeMm).toHaveLength(26);
    expect(plan({}, { nextMin: 125 }).expectedStore.storeMm).toHaveLength(27);
    expect(found).toMatchObject({ storeNowMm: 1, capacityMm: 1.5, dryAtMs: at(80) });
    expect(found.reserveMm).toBeCloseTo(0.3, 9);
    expect(found.state).toEqual({ storeMm1: 0.7, storeMm2: 1, storeMm3: 1 });
    expect(plan({ rainMm: (step) => (step < 30 ? 0.01 : 0) }).rainMm).toBeCloseTo(0.25, 9);
  });

  it('is dry in the steps of daylight that begin below the limit', () => {
    // At its limit at 80 min; below it at 85, 90 and 95, and not in the light at 100.
    expect(plan()).toMatchObject({ minutesBelowDryLimit: 15, lowestStoreMm: -3 / 16 });
    expect(minutesOf(plan().lowestAtMs)).toBe(95);
    expect(plan({}, { light: [20, 101] }).minutesBelowDryLimit).toBe(20);
    expect(plan({}, { light: [90, 100] }).minutesBelowDryLimit).toBe(10);
  });

  it('has the lowest store of the night where there is no daylight left', () => {
    const night = plan({}, { light: [-90, 0] });
    expect(minutesOf(night.lowestAtMs)).toBe(125);
    expect(night.minutesBelowDryLimit).toBe(0);
    const first = plan({ lossMm: () => 0 }, { startMin: 22 });
    expect(minutesOf(first.lowestAtMs)).toBe(22);
  });

  it('is its cycles, counted from one, and what they bring together', () => {
    const found = plan({ cycles: [[40], [80, 2]] });
    expect(found.cycles.map(({ cycle, startMs }) => [cycle, minutesOf(startMs)])).toEqual([
      [1, 40],
      [2, 80],
    ]);
    expect(found.cycles[0]).not.toHaveProperty('runs');
    expect(found.netMm).toBeCloseTo(1.5, 9);
    expect(found.grossMm).toBeCloseTo(1.5, 9);
    expect(found.percentOfLoss).toBeCloseTo((100 * 1.5) / (25 / 16), 9);
    expect(plan({ lossMm: () => 0 }).percentOfLoss).toBeNull();
    expect(plan().percentOfLoss).toBe(0);
  });

  it('has each station dry as its own part is, in the light up to tomorrow’s first water', () => {
    const dryMin = (light: [number, number], more: Partial<HandBed> = {}) =>
      plan({ isInParts: true, ...more }, { light }).stations?.map(
        (one) => one.minutesBelowDryLimit,
      );
    expect(dryMin([20, 100])).toEqual([15]);
    // From 85 to the step at 125, which ends the plan.
    expect(dryMin([20, 200])).toEqual([45]);
    expect(dryMin([90, 100])).toEqual([10]);
    // The one gets a turn of half a millimetre at 80 min, the other a turn of a quarter.
    const stations = [{ precipitationRateMmPerH: 15 }, { precipitationRateMmPerH: 7.5 }];
    expect(dryMin([20, 200], { stations, cycles: [[80, 1, 1]] })).toEqual([5, 25]);
  });

  it('drains as its wettest station does', () => {
    // Room of half a millimetre and what the step takes for two turns.
    const found = plan({ cycles: [[0, 2]], isInParts: true });
    expect(found.drainedMm).toBeCloseTo(0.4375, 9);
    expect(plan({ cycles: [[40]] }).drainedMm).toBe(0);
  });
});

import { describe, expect, it } from 'vitest';
import type { BedPlan, DayPlan } from '../../../calc/schedule/day-plan.ts';
import { dryMoves, expectedDry } from '../../../calc/schedule/plan-change.ts';
import { planDay } from '../../../calc/schedule/plan-day.ts';
import { examplePlan } from '../../example-plan.ts';
import { smallDay } from '../../small-day.ts';

const MIN_MS = 60_000;
const min = (minutes: number) => minutes * MIN_MS;

/** An invented bed: 1.5 mm when full, losing 0.05 mm in each five minutes, filled up at 60 min. */
function bed(change: Partial<BedPlan> = {}): BedPlan {
  const [base] = examplePlan().beds;
  if (base === undefined || base.cycles[0] === undefined) throw new Error('no bed to start from');
  const storeMm = Array.from({ length: 49 }, (_, step) =>
    step <= 12 ? 1 - 0.05 * step : 1.5 - 0.05 * (step - 13),
  );
  return {
    ...base,
    capacityMm: 1.5,
    cycles: [{ ...base.cycles[0], startMs: min(60), endMs: min(64), netMm: 1.15 }],
    expectedStore: { startMs: 0, stepMin: 5, storeMm },
    ...change,
  };
}

const water = [{ bedId: 'bed-1', startMs: min(60), netMm: 1.15 }];

describe('expectedDry', () => {
  it.each([
    ['at the begin, without the cycle to come', 0, [], 100, 1],
    ['between two steps', 12.5, [], 100, 0.875],
    ['after the cycle ran', 65, water, 65 + 150, 1.5],
    ['after the cycle that did not run', 65, [], 100, 0.35],
    [
      'after other water than planned',
      65,
      [{ ...water[0], startMs: min(30), netMm: 0.2 }],
      120,
      0.55,
    ],
    ['dry already', 120, [], 120, -0.2],
  ] as const)('%s', (_, fromMin, given, dryMin, storeMm) => {
    const found = expectedDry(bed(), min(fromMin), given as never);
    expect((found?.dryMs ?? Number.NaN) / MIN_MS).toBeCloseTo(dryMin, 6);
    expect(found?.storeMm).toBeCloseTo(storeMm, 6);
  });

  it('gives the curve’s end where nothing gets dry, and null beyond it', () => {
    const still = bed({
      cycles: [],
      expectedStore: { startMs: 0, stepMin: 5, storeMm: [1, 1, 1] },
    });
    expect(expectedDry(still, min(2), [])?.dryMs).toBe(min(10));
    expect(expectedDry(still, min(10), [])).toBeNull();
  });
});

describe('dryMoves', () => {
  const plan = (change: Partial<BedPlan>, startMin: number): DayPlan =>
    examplePlan({ startMs: min(startMin), beds: [bed(change)] });

  it.each([
    ['the same', 100, 0],
    ['earlier', 65, -35],
    ['later', 130, 30],
    ['not in sight: the curve’s end', null, 140],
  ])('%s', (_, dryMin, moveMin) => {
    const after = plan({ dryAtMs: dryMin === null ? null : min(dryMin), storeNowMm: 0.9 }, 10);
    const [move] = dryMoves(plan({}, 0), after, []);
    expect(move?.moveMin).toBeCloseTo(moveMin, 6);
    expect(move).toMatchObject({ bedId: 'bed-1', storeAfterMm: 0.9 });
  });

  it.each([
    [50, 1],
    [56, 0],
    [62, 0],
    [68, 0],
    [76, 1],
  ])('compares a bed with a cycle from 60 to 64 min at %d min: %d', (startMin, count) => {
    const after = plan({ dryAtMs: min(100) }, startMin);
    expect(dryMoves(plan({}, 0), after, null)).toHaveLength(count);
  });

  it('finds no move in a day planned anew hours later on the same weather and water', () => {
    const day = smallDay({});
    const first = planDay(day);
    for (const hours of [1, 3, 5, 7]) {
      const startMs = day.startMs + hours * 60 * MIN_MS;
      const states = new Map(
        first.beds.map((one) => {
          const { startMs: fromMs, stepMin, storeMm } = one.expectedStore;
          const step = Math.round((startMs - fromMs) / (stepMin * MIN_MS));
          return [one.bedId, { storeMm: storeMm[step] ?? 0 }];
        }),
      );
      const again = planDay({
        ...day,
        startMs,
        madeAtMs: startMs,
        firstRunMs: startMs,
        hours: day.hours.filter((hour) => hour.startMs + 60 * MIN_MS > startMs),
        statesNow: states as never,
      });
      for (const move of dryMoves(first, again, null)) {
        expect(Math.abs(move.moveMin), `${move.bedId} after ${hours} h`).toBeLessThan(5);
      }
    }
  });
});

describe('what an earlier plan expects of a bed', () => {
  const given = (bedId: string, startMin: number, netMm: number) => ({
    bedId,
    startMs: min(startMin),
    netMm,
  });
  const stated = (storeMm: number[], cycles: BedPlan['cycles'] = []): BedPlan =>
    bed({ cycles, expectedStore: { startMs: 0, stepMin: 5, storeMm } });

  it('counts of a cycle that runs what has fallen so far', () => {
    // 0.4 mm at 60 min, 0.05 mm lost in five minutes, 1.15 mm given in four.
    expect(expectedDry(bed(), min(62), water)?.storeMm).toBeCloseTo(0.4 - 0.02 + 0.575, 9);
    const late = [given('bed-1', 61, 1.15)];
    expect(expectedDry(bed(), min(63), late)?.storeMm).toBeCloseTo(0.4 - 0.03 + 0.575, 9);
    const less = [given('bed-1', 60, 0.5)];
    expect(expectedDry(bed(), min(64.5), less)?.storeMm).toBeCloseTo(0.4 - 0.045 + 0.5, 9);
  });

  it('knows water that the plan has not, up to the brim and up to the instant', () => {
    const brimful = expectedDry(bed(), min(32), [given('bed-1', 30, 3)]);
    expect(brimful?.storeMm).toBeCloseTo(1.5, 9);
    expect((brimful?.dryMs ?? 0) / MIN_MS).toBeCloseTo(32 + 150, 6);
    const atOnce = [given('bed-1', 0, 0.2)];
    expect(expectedDry(bed(), min(12), atOnce)?.storeMm).toBeCloseTo(1.2 - 0.12, 9);
    const within = [given('bed-1', 10, 0.2)];
    expect(expectedDry(bed(), min(10), within)?.storeMm).toBeCloseTo(0.9, 9);
    expect(expectedDry(bed(), min(11), within)?.storeMm).toBeCloseTo(0.9 - 0.01 + 0.2, 9);
    // Begun as the plan's cycle ends it is not that cycle.
    const after = [given('bed-1', 64, 0.2)];
    expect(expectedDry(bed(), min(67), after)?.storeMm).toBeCloseTo(0.55 - 0.02, 9);
    const before = [given('bed-1', 59, 0.2)];
    expect(expectedDry(bed(), min(65), before)?.storeMm).toBeCloseTo(0.55, 9);
  });

  it('takes the curve itself where its water was given as planned, from a cycle’s first instant on', () => {
    // The curve has lost more in the step with water than its losses tell.
    const storeMm = Array.from({ length: 49 }, (_, step) =>
      step <= 12 ? 1 - 0.05 * step : 1.2 - 0.05 * (step - 13),
    );
    const curve = bed({ expectedStore: { startMs: 0, stepMin: 5, storeMm } });
    expect(expectedDry(curve, min(65), water)?.storeMm).toBeCloseTo(1.2, 9);
    expect(expectedDry(curve, min(65), [given('bed-1', 63.5, 1.15)])?.storeMm).toBeCloseTo(1.2, 9);
    expect(expectedDry(curve, min(65), [given('bed-1', 59.5, 1.15)])?.storeMm).toBeCloseTo(1.45, 9);
  });

  it('takes no other bed’s water for its own', () => {
    const others = [given('bed-2', 30, 1), given('bed-2', 32, 1)];
    expect(expectedDry(bed(), min(33), others)?.storeMm).toBeCloseTo(0.7 - 0.03, 9);
    expect(expectedDry(bed(), min(65), others)?.storeMm).toBeCloseTo(0.35, 9);
  });

  it('lets a step with water lose what the one before lost, and no other step', () => {
    const [cycle] = bed().cycles;
    if (cycle === undefined) throw new Error('no cycle');
    const cycles = [{ ...cycle, startMs: min(10), endMs: min(15) }];
    // Losses of 0.05 and 0.1 mm, of the step with water, and 0.2 mm.
    const curve = stated([1, 0.95, 0.85, 1.5, 1.3, 1.2], cycles);
    expect(expectedDry(curve, min(20), [])?.storeMm).toBeCloseTo(1 - 0.05 - 0.1 - 0.1 - 0.2, 9);
  });

  it('follows the losses to the last step, and none is needed where nothing is left', () => {
    const found = expectedDry(stated([0.1, 0.1, -0.1]), 0, []);
    expect((found?.dryMs ?? 0) / MIN_MS).toBeCloseTo(7.5, 9);
    expect(expectedDry(stated([0.1, 0, 0, 0]), min(5), [])).toEqual({ dryMs: min(5), storeMm: 0 });
  });

  it('is the same on a curve that begins later, from its begin on', () => {
    const shifted = bed({
      cycles: [],
      expectedStore: { startMs: min(1000), stepMin: 5, storeMm: [1, 0.9, 0.8, -0.2] },
    });
    const dry = (atMin: number) => expectedDry(shifted, min(atMin), []);
    expect((dry(1007)?.dryMs ?? 0) / MIN_MS).toBeCloseTo(1010 + (5 * 0.8) / 1, 6);
    expect(dry(1007)?.storeMm).toBeCloseTo(0.9 - 0.04, 9);
    expect(dry(990)).toEqual(dry(1000));
    expect(dry(1000)?.storeMm).toBe(1);
  });
});

describe('a move of the time to dry', () => {
  const moves = (
    startMin: number,
    given: Parameters<typeof dryMoves>[2],
    change: Partial<BedPlan> = {},
  ) => {
    const before = examplePlan({ startMs: 0, beds: [bed(change)] });
    const after = examplePlan({ startMs: min(startMin), beds: [bed({ dryAtMs: min(300) })] });
    return dryMoves(before, after, given);
  };
  const own = (startMin: number) => [{ bedId: 'bed-1', startMs: min(startMin), netMm: 1.15 }];

  it.each([
    [55, [], 1],
    [55.5, [], 0],
    [68.5, [], 0],
    [69, [], 1],
    [72, [{ bedId: 'bed-2', startMs: min(70), netMm: 1 }], 1],
    [72, own(70), 0],
    [75, own(60), 1],
    [74.5, own(60), 0],
    [95, own(100), 1],
    [95.5, own(100), 0],
  ] as const)('at %f min with %j: %d', (startMin, given, count) => {
    expect(moves(startMin, given)).toHaveLength(count);
  });

  it('is told of water that did not run, of known beds, and on the curve alone', () => {
    expect(moves(130, [])[0]?.storeBeforeMm).toBeCloseTo(1 - 0.05 * 26, 9);
    expect(moves(130, null)[0]?.storeBeforeMm).toBeCloseTo(1.5 - 0.05 * 13, 9);
    expect(moves(240, [])).toEqual([]);
    expect(moves(239, [])).toHaveLength(1);
    expect(moves(130, [], { bedId: 'bed-9' })).toEqual([]);
  });
});

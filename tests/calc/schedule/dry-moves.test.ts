import { describe, expect, it } from 'vitest';
import type { BedPlan, DayPlan } from '../../../calc/schedule/day-plan.ts';
import { dryMoves, expectedDry } from '../../../calc/schedule/dry-moves.ts';
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

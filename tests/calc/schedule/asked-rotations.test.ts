import { describe, expect, it } from 'vitest';
import type { DayPlan } from '../../../calc/schedule/day-plan.ts';
import { planDay } from '../../../calc/schedule/plan-day.ts';
import { SMALL_DAY_MS, smallDay } from '../../small-day.ts';

const MINUTE_MS = 60_000;
/** The invented day is planned from 05:00 on. */
const START_MS = SMALL_DAY_MS + 5 * 3_600_000;
const asked = { bedId: 'bed-1', rotations: 1, askedMs: START_MS - MINUTE_MS, who: 'A. Keeper' };

const extras = (plan: DayPlan) =>
  plan.beds.flatMap((bed) =>
    bed.cycles
      .filter((cycle) => cycle.reasons.some((reason) => reason.code === 'asked_for'))
      .map((cycle) => ({ bedId: bed.bedId, ...cycle })),
  );

describe('a rotation that a person asks for', () => {
  it('stands at once, with its reason, and the cycles after it make room', () => {
    const plain = planDay(smallDay({}));
    const plan = planDay({ ...smallDay({}), asked: [asked] });
    const [extra, ...more] = extras(plan);
    expect(more).toEqual([]);
    expect(extra).toMatchObject({ bedId: 'bed-1', startMs: START_MS, rotations: 1, cycle: 1 });
    const own = plan.beds[0]?.cycles ?? [];
    expect(own.map((cycle) => cycle.cycle)).toEqual(own.map((_, index) => index + 1));
    const second = own[1]?.startMs ?? 0;
    expect(second).toBeGreaterThanOrEqual((extra?.endMs ?? 0) + 30 * MINUTE_MS);
    const runs = plan.runs.filter((run) => run.bedId === 'bed-1' && run.cycle === 1);
    expect(runs.map((run) => run.startMs)).toEqual([START_MS]);
    // The other bed may drink at another minute for a level flow, and gets no less.
    expect(plan.beds[1]?.netMm).toBeCloseTo(plain.beds[1]?.netMm ?? Number.NaN, 6);
  });

  it('has as many rotations as were asked for, one asked for after the other', () => {
    const plan = planDay({
      ...smallDay({}),
      asked: [
        { ...asked, rotations: 3 },
        { ...asked, askedMs: START_MS },
      ],
    });
    const [first, second] = extras(plan);
    expect(first?.rotations).toBe(3);
    expect(second?.startMs).toBeGreaterThanOrEqual(first?.endMs ?? Infinity);
  });

  it('waits for a keep-off, and is told of when none of the next hour is free', () => {
    const off = (endMs: number) => [{ bedId: 'bed-1', startMs: START_MS, endMs, why: 'mow' }];
    const short = planDay({
      ...smallDay({}),
      asked: [asked],
      keepOffs: off(START_MS + 20 * MINUTE_MS),
    });
    expect(extras(short)[0]?.startMs).toBe(START_MS + 20 * MINUTE_MS);
    const long = planDay({
      ...smallDay({}),
      asked: [asked],
      keepOffs: off(START_MS + 90 * MINUTE_MS),
    });
    expect(extras(long)).toEqual([]);
    expect(long.warnings).toContainEqual({
      code: 'rotation_unplaced',
      bedId: 'bed-1',
      who: 'A. Keeper',
    });
  });

  it('is the same in a sketch, as every cycle is', () => {
    const input = { ...smallDay({ capacityMm: 0.5 }), asked: [asked] };
    const sketch = planDay({ ...input, isSketch: true });
    const whole = planDay(input);
    expect(sketch.runs).toEqual(whole.runs);
    expect(sketch.beds).toEqual(whole.beds);
  });
});

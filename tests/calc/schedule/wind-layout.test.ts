import { describe, expect, it } from 'vitest';
import { type BedBalance, seriesOf } from '../../../calc/schedule/bed-balance.ts';
import type { WindChoice } from '../../../calc/schedule/day-plan.ts';
import type { PlacedCycle } from '../../../calc/schedule/placement-pass.ts';
import { layInWind } from '../../../calc/schedule/wind-layout.ts';
import { at, type HandBed, handInput, minutesOf } from '../../laid-day.ts';

/** Sums of halves: 1 mm is gone at 80 min; a turn brings half a one, in the wind a quarter. */
const bed = (id: string, change: Partial<HandBed> = {}): HandBed => ({
  id,
  stations: [{ precipitationRateMmPerH: 15 }],
  lossMm: (step) => (step < 32 ? 1 / 16 : 0),
  // No cycle can be moved before the wind.
  keepOffs: [[0, 50, 'mow']],
  ...change,
});
const isWindyAt = (ms: number) => ms >= at(40) && ms < at(100);
const driftAt = (ms: number) => (isWindyAt(ms) ? 0.5 : 0);

function lay(
  beds: readonly HandBed[] = [bed('a')],
  given: { choice?: WindChoice; isSketch?: boolean; calm?: boolean } = {},
) {
  const input = handInput(beds, { driftAt, ...(given.calm === true ? {} : { isWindyAt }) });
  const answer =
    given.choice === undefined ? null : { choice: given.choice, who: 'A. Keeper', atMs: at(0) };
  const laid = layInWind(input, { former: [], answer, isSketch: given.isSketch ?? false });
  return { input, laid, places: placesOf(laid.cycles) };
}
const placesOf = (cycles: readonly PlacedCycle[]) =>
  cycles.map(({ bedId, startMs, block }) => `${bedId} ${minutesOf(startMs)}:${block.rotations}`);

describe('a day on which cycles stay in the wind', () => {
  const anyway = lay();
  const skip = lay([bed('a')], { choice: 'skip' });
  const shorter = lay([bed('a')], { choice: 'shorter_and_oftener' });

  it('runs them anyway where nobody has answered, and asks', () => {
    expect(anyway.places).toEqual(['a 56:4', 'a 136:1']);
    const { question } = anyway.laid;
    expect(question).toMatchObject({ fromMs: at(56), toMs: at(64), bedIds: ['a'] });
    // Half of what four turns give is lost.
    expect(question?.runAnyway).toEqual({ cycles: 2, driftMm: 1, minutesBelowDryLimit: 0 });
    expect(question).not.toHaveProperty('answered');
    expect(lay([bed('a')], { choice: 'run_anyway' }).places).toEqual(anyway.places);
  });

  it('is laid as it was told for each answer', () => {
    expect(skip.places).toEqual(['a 100:3']);
    // Dry at 85, 90, 95 and 100 min.
    const skipped = { cycles: 1, driftMm: 0, minutesBelowDryLimit: 20 };
    expect(anyway.laid.question?.skip).toEqual(skipped);
    expect(skip.laid.question?.skip).toEqual(skipped);
    expect(skip.laid.question?.answered).toMatchObject({ choice: 'skip', who: 'A. Keeper' });
    expect(shorter.laid.cycles.every(({ block }) => block.rotations === 1)).toBe(true);
    const { cycles, driftMm } = anyway.laid.question?.shorterAndOftener ?? {};
    expect(cycles).toBe(shorter.laid.cycles.length);
    const windy = shorter.laid.cycles.filter(({ startMs }) => isWindyAt(startMs));
    expect(driftMm).toBeCloseTo(0.25 * windy.length, 9);
    expect(windy.length).toBeGreaterThan(0);
  });

  it('brings the beds’ water up to date by the answer that was given', () => {
    const leftMm = (one: typeof skip) => marginAt(one.input.beds[0]?.balance, 20);
    expect(leftMm(skip)).toBe(-0.25);
    expect(leftMm(anyway)).toBe(0.75);
    expect(marginAt(skip.laid.unplaced[0]?.balance, 20)).toBe(-0.25);
    expect(marginAt(anyway.laid.unplaced[0]?.balance, 20)).toBe(-0.25);
    expect(anyway.laid.unplaced[0]?.keepOffs).toHaveLength(1);
    expect(skip.laid.unplaced[0]?.keepOffs.slice(1)).toEqual([
      { bedId: 'a', startMs: at(40), endMs: at(100), why: '', kind: 'wind' },
    ]);
    expect(shorter.laid.unplaced[0]?.doseCapMm).toBe(0);
  });

  it('is laid the same in a sketch, without the question', () => {
    for (const choice of ['run_anyway', 'skip', 'shorter_and_oftener'] as const) {
      const sketch = lay([bed('a')], { choice, isSketch: true });
      expect(sketch.laid.question).toBeNull();
      expect(sketch.places).toEqual(lay([bed('a')], { choice }).places);
    }
  });

  it('names every bed once, in order, and the whole stretch', () => {
    const { question } = lay([bed('b', { storeMm: 1.0625 }), bed('a')]).laid;
    expect(question?.bedIds).toEqual(['a', 'b']);
    expect(minutesOf(question?.fromMs ?? 0)).toBe(56);
    expect(minutesOf(question?.toMs ?? 0)).toBeGreaterThanOrEqual(64);
  });
});

describe('what an answer costs', () => {
  const skipped = (firstMin: number, lastMin: number, windUntilMin: number) => {
    const blows = (ms: number) => ms >= at(40) && ms < at(windUntilMin);
    const window = {
      firstStartMs: at(firstMin),
      lastEndMs: at(lastMin),
      nextFirstStartMs: at(240),
    };
    const input = handInput([bed('a')], { isWindyAt: blows, driftAt, window });
    const { question } = layInWind(input, { former: [], answer: null, isSketch: false });
    return question?.skip;
  };

  it('counts dry steps from the first start on, and up to the last end', () => {
    // Dry at 85, 90, 95 and 100 min, where water starts again.
    expect(skipped(85, 180, 100)?.minutesBelowDryLimit).toBe(20);
    expect(skipped(86, 180, 100)?.minutesBelowDryLimit).toBe(15);
    // No calm minute is left: dry from 85 to the step at 110, or at 115.
    expect(skipped(0, 115, 115)).toMatchObject({ cycles: 0, minutesBelowDryLimit: 30 });
    expect(skipped(0, 116, 116)).toMatchObject({ cycles: 0, minutesBelowDryLimit: 35 });
  });
});

describe('a day that asks nothing', () => {
  it('has no wind that anybody knows of, or no cycle in it', () => {
    const calm = lay([bed('a')], { calm: true, choice: 'skip' });
    expect(calm.laid.question).toBeNull();
    expect(calm.places).toEqual(['a 56:4', 'a 136:1']);
    // Two turns at 36 min, before the wind, and the next at 116, after it.
    const early = lay([bed('a', { storeMm: 0.75, keepOffs: [] })]);
    expect(early.laid.question).toBeNull();
    expect(early.places).toEqual(['a 36:2', 'a 116:2']);
    expect(marginAt(early.input.beds[0]?.balance, 20)).toBe(0.5);
    expect(marginAt(early.laid.unplaced[0]?.balance, 20)).toBe(-0.5);
  });
});

function marginAt(balance: BedBalance | undefined, step: number): number | undefined {
  return balance === undefined ? undefined : seriesOf(balance).marginMm[step];
}

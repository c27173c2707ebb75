import { describe, expect, it } from 'vitest';
import { STAGES, type StageName } from '../../../calc/growth/stages.ts';
import type { BedPlan } from '../../../calc/schedule/day-plan.ts';
import { heatNotices } from '../../../calc/schedule/plan-notices.ts';
import { examplePlan } from '../../example-plan.ts';
import { SMALL_DAY_MS, smallDay } from '../../small-day.ts';

const at = (hour: number) => SMALL_DAY_MS + hour * 3_600_000;

/** A bed on its day from 08:00 on, dry in these steps of five minutes. */
function bed(bedId: string, stage: StageName, dryFrom = 0, dryTo = 0): BedPlan {
  const [base] = examplePlan().beds;
  if (base === undefined) throw new Error('no bed');
  const storeMm = Array.from({ length: 145 }, (_, step) =>
    step >= dryFrom && step < dryTo ? -0.1 : 1,
  );
  return { ...base, bedId, stage, expectedStore: { startMs: at(8), stepMin: 5, storeMm } };
}

/** What is told of a day with sun and light wind at 30 °C. */
function told(beds: readonly BedPlan[], airTempC = 30) {
  const { site, hours } = smallDay({
    hour: () => ({ airTempC, solarMjPerM2: 2.9, windMPerS: 1, vapourPressureKPa: 1.7 }),
  });
  const own = hours.filter(({ startMs }) => startMs >= at(8) && startMs < at(20));
  return heatNotices({ site, stages: STAGES, beds, hours: own });
}

describe('heat on a bare bed', () => {
  it('is that of a wet surface while the bed is moist, and of a dry one in hours half dry', () => {
    const [wet] = told([bed('a', 'germination')]);
    // Steps 60 to 65 are half of the hour from 13:00.
    const [half] = told([bed('a', 'germination', 60, 66)]);
    const [less] = told([bed('a', 'germination', 60, 65)]);
    const peak = (notice: typeof half) => Number(notice?.inputs['peakC'] ?? 0);
    expect(half?.severity).toBe('danger');
    expect(peak(half)).toBeGreaterThan(peak(wet) + 10);
    expect(less).toEqual(wet);
    // The half hours of two hours are of neither.
    expect(told([bed('a', 'germination', 57, 62)])).toEqual(told([bed('a', 'germination')]));
    const [noon] = told([bed('a', 'germination', 54, 60)]);
    expect(noon).toEqual(half);
    // The hours go on without a gap: the step at an hour's end is of the next.
    expect(told([bed('a', 'germination', 55, 61)])).toEqual(told([bed('a', 'germination')]));
  });
});

describe('whom a notice of heat names', () => {
  it('are the beds that see the same, and nobody by name where those are all', () => {
    const dry = (id: string) => bed(id, 'germination', 60, 72);
    expect(told([dry('a')]).map(({ bedIds }) => bedIds)).toEqual([[]]);
    const two = told([dry('a'), dry('b')]).filter(({ severity }) => severity === 'danger');
    expect(two.map(({ bedIds }) => bedIds)).toEqual([['a'], ['b']]);
    const mixed = told([dry('a'), bed('b', 'tillering')]);
    expect(mixed.map(({ bedIds }) => bedIds)).toContainEqual(['a']);
  });

  it('are covered beds by the air alone', () => {
    const hot = told([bed('a', 'tillering', 0, 145), bed('b', 'knitting')], 38);
    expect(hot).toMatchObject([{ bedIds: [], inputs: { measure: 'air', peakC: 38 } }]);
    expect(told([bed('a', 'tillering')], 20)).toEqual([]);
    const both = told([bed('a', 'tillering'), bed('b', 'germination', 0, 145)], 38);
    expect(both.map(({ bedIds }) => bedIds)).toEqual([['a'], ['b']]);
    expect(both[1]?.inputs['measure']).not.toBe('air');
  });
});

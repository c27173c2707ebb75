import { describe, expect, it } from 'vitest';
import type { BedPlan } from '../../../calc/schedule/day-plan.ts';
import type { Station } from '../../../calc/schedule/site.ts';
import { longRuns } from '../../../calc/schedule/warnings.ts';
import { examplePlan } from '../../example-plan.ts';
import { handLimits } from '../../laid-day.ts';
import { toldOf } from '../../reader.ts';
import { smallStation } from '../../small-day.ts';

/** What is told of a bed whose cycles have so many rotations, 0.6 mm in each of two minutes. */
function told(
  rotations: readonly number[],
  change: { stage?: BedPlan['stage']; mostRunS?: number; stations?: Partial<Station>[] } = {},
) {
  const { stage = 'germination', mostRunS = 3600, stations = [{}] } = change;
  const [base] = examplePlan().beds;
  const [cycle] = base?.cycles ?? [];
  if (base === undefined || cycle === undefined) throw new Error('no cycle');
  const cycles = rotations.map((one, index) => ({
    ...cycle,
    rotations: one,
    grossMm: one + index / 10,
  }));
  const bed: BedPlan = { ...base, name: 'Bed', stage, cycles };
  const site = {
    limits: handLimits({ mostRunS }),
    stations: [
      ...stations.map((one, index) => smallStation(`s${index}`, { bedId: bed.bedId, ...one })),
      smallStation('other', { bedId: 'bed-2', precipitationRateMmPerH: 1 }),
    ],
  };
  const plan = examplePlan({ beds: [bed], warnings: longRuns(site, [bed]) });
  return toldOf(plan, 'long_runs');
}

describe('cycles of many rotations', () => {
  it('are told in germination from the sixth rotation on, by the first of the longest', () => {
    expect(told([5])).toEqual([]);
    expect(told([2, 6, 6, 3])).toEqual([
      'Bed: a cycle takes up to 6 rotations (12 min) for 6.10 mm, because one of 120 s brings 0.60 mm at the rate of station s0, 18.0 mm an hour. Check that rate.',
    ]);
    expect(told([6], { stage: 'tillering' })).toEqual([]);
    expect(told([])).toEqual([]);
  });

  it('are told by the station that needs most of them', () => {
    const stations = [{}, { precipitationRateMmPerH: 9 }, { precipitationRateMmPerH: 36 }];
    expect(told([6], { stations })[0]).toContain('brings 0.30 mm at the rate of station s1, 9.00');
    const slow = [{ rotationS: 60 }, { rotationS: 90 }];
    expect(told([6], { stations: slow })[0]).toContain('one of 60 s brings 0.30 mm');
    expect(told([6], { stations: [] })).toEqual([]);
  });
});

describe('cycles that end at the longest run', () => {
  it('are told in any stage where one rotation more would pass it', () => {
    const capped = (rotations: number, mostRunS: number) =>
      told([rotations], { stage: 'tillering', mostRunS });
    expect(capped(3, 480)).toEqual([]);
    expect(capped(3, 479)).toHaveLength(1);
    expect(capped(3, 400)[0]).toContain(
      'It ends at the longest run, 7 min. Check that rate, or raise most_run.',
    );
    // A single rotation is always whole.
    expect(capped(1, 100)).toEqual([]);
    expect(capped(2, 100)).toHaveLength(1);
  });
});

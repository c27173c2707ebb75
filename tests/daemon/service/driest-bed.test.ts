import { describe, expect, it } from 'vitest';
import { driestBed } from '../../../daemon/service/site-status.ts';
import { examplePlan } from '../../example-plan.ts';

const START_MS = 1_000_000_000;
const MIN_MS = 60_000;

function planWith(beds: { bedId: string; dryAtMs: number | null; storeMm: number[] }[]) {
  const plan = examplePlan({});
  const [bed] = plan.beds;
  if (bed === undefined) throw new Error('the example plan has no bed');
  return {
    ...plan,
    beds: beds.map(({ bedId, dryAtMs, storeMm }) => ({
      ...bed,
      bedId,
      dryAtMs,
      expectedStore: { startMs: START_MS, stepMin: 5, storeMm },
    })),
  };
}

const plan = planWith([
  { bedId: 'a', dryAtMs: START_MS + 90 * MIN_MS, storeMm: [0.4, 0.2, 0.3, -0.1] },
  { bedId: 'b', dryAtMs: START_MS + 60 * MIN_MS, storeMm: [0.4, 0.0, 0.9, 0.8] },
  { bedId: 'c', dryAtMs: null, storeMm: [1, 1, 1, 1] },
]);

describe('driestBed', () => {
  it('goes by dryness without water where no plan is in force', () => {
    expect(driestBed(null, plan, START_MS)).toEqual({
      bedId: 'b',
      dryAtMs: START_MS + 60 * MIN_MS,
    });
  });

  it.each([
    ['both ahead', 0, { bedId: 'b', dryAtMs: START_MS + 5 * MIN_MS }],
    ['one of them past', 10, { bedId: 'a', dryAtMs: START_MS + 15 * MIN_MS }],
    ['all past', 20, null],
  ])('goes by the expected store of the plan in force: %s', (_, min, expected) => {
    expect(driestBed(plan, null, START_MS + min * MIN_MS)).toEqual(expected);
  });

  it('is null where there is no plan', () => {
    expect(driestBed(null, null, START_MS)).toBeNull();
  });
});

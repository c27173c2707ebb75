import { expect, test } from 'vitest';
import type { StageName } from '../../../calc/growth/stages.ts';
import { planDay } from '../../../calc/schedule/plan-day.ts';
import { nightWarnings } from '../../../calc/schedule/warnings.ts';
import { smallDay } from '../../small-day.ts';

const { beds } = planDay(smallDay({ stages: ['germination', 'knitting'], capacityMm: 0.7 }));
const NONE = { dryWind: false, firstNight: false, deepRefill: null };

function told(
  change: { deepRefill?: { startMs: number; endMs: number }; stage?: StageName },
  firstRunMs = 50,
) {
  return nightWarnings({
    night: { ...NONE, deepRefill: change.deepRefill ?? null },
    beds: beds.map((bed) => ({ ...bed, stage: change.stage ?? bed.stage })),
    firstRunMs,
  });
}

test('a deep refill that had begun or was over is told to whom it would have watered', () => {
  expect(told({})).toEqual([]);
  expect(told({ deepRefill: { startMs: 50, endMs: 60 } })).toEqual([]);
  expect(told({ deepRefill: { startMs: 49, endMs: 60 }, stage: 'tillering' })).toEqual([]);
  expect(told({ deepRefill: { startMs: 49, endMs: 51 } })).toEqual([
    {
      code: 'deep_refill_missed',
      bedId: null,
      refillStartMs: 49,
      refillEndMs: 51,
      firstRunMs: 50,
    },
  ]);
});

test('water at night names its beds by the exception, each exception once', () => {
  const withNight = beds.map((bed, index) => ({
    ...bed,
    cycles: bed.cycles.slice(0, 2).map((cycle) => ({
      ...cycle,
      reasons: [
        {
          code: 'night_water' as const,
          exception: index === 0 ? ('first_night' as const) : ('dry_wind' as const),
        },
      ],
    })),
  }));
  const told = nightWarnings({ night: NONE, beds: withNight, firstRunMs: 0 });
  const [first, second] = beds.map(({ bedId }) => bedId);
  expect(told).toEqual([
    { code: 'night_water', bedId: null, exception: 'dry_wind', bedIds: [second] },
    { code: 'night_water', bedId: null, exception: 'first_night', bedIds: [first] },
  ]);
});

import { expect, test } from 'vitest';
import type { StageName } from '../../../calc/growth/stages.ts';
import { nightWarnings } from '../../../calc/schedule/night-warnings.ts';
import { planDay } from '../../../calc/schedule/plan-day.ts';
import { smallDay } from '../../small-day.ts';

const { beds } = planDay(smallDay({ stages: ['germination', 'knitting'] }));
const say = { timeOf: (ms: number) => `@${ms}` };
const NONE = { dryWind: false, firstNight: false, deepRefill: null };

function texts(
  change: { deepRefill?: { startMs: number; endMs: number }; stage?: StageName },
  firstRunMs = 50,
) {
  return nightWarnings({
    night: { ...NONE, deepRefill: change.deepRefill ?? null },
    beds: beds.map((bed) => ({ ...bed, stage: change.stage ?? bed.stage })),
    firstRunMs,
    say,
  }).map(({ text }) => text);
}

test('a deep refill that had begun or was over is told to whom it would have watered', () => {
  expect(texts({})).toEqual([]);
  expect(texts({ deepRefill: { startMs: 50, endMs: 60 } })).toEqual([]);
  expect(texts({ deepRefill: { startMs: 49, endMs: 60 }, stage: 'tillering' })).toEqual([]);
  expect(texts({ deepRefill: { startMs: 49, endMs: 51 } })[0]).toContain(
    'The deep refill from @49 had begun when this plan could first run, at @50',
  );
  expect(texts({ deepRefill: { startMs: 49, endMs: 50 } })[0]).toContain('@49 was over when');
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
  const told = nightWarnings({ night: NONE, beds: withNight, firstRunMs: 0, say });
  const [first, second] = beds.map(({ name }) => name);
  expect(told.map(({ code, text }) => [code, text.split(':')[0]])).toEqual([
    ['night_water', `Water at night on ${second}`],
    ['night_water', `Water at night on ${first}`],
  ]);
});

import { describe, expect, it } from 'vitest';
import type { BedGermination } from '../../../calc/schedule/day-plan.ts';
import { siteClock } from '../../../daemon/site/time/site-clock.ts';
import { sayGermination } from '../../../daemon/words/stage-words.ts';

const clock = siteClock('America/Denver');
const NOW_MS = Date.parse('2026-07-01T06:00:00-06:00');
const DAY_MS = 24 * 3_600_000;

const say = (change: Partial<BedGermination> = {}, nowMs = NOW_MS) =>
  sayGermination(
    {
      baseTempC: 5,
      sumCDays: 41.4,
      leastCDays: 75,
      mostCDays: 120,
      earliestMs: NOW_MS + 2 * DAY_MS,
      latestMs: NOW_MS + 5 * DAY_MS,
      sownMs: NOW_MS - 3 * DAY_MS,
      countedFromMs: NOW_MS - 3 * DAY_MS,
      missingHours: 0,
      ...change,
    },
    nowMs,
    { language: 'en', clock },
  );

describe('sayGermination', () => {
  it('says a window of days and always its base', () => {
    expect(say()).toBe(
      'first green from 2026-07-03 to 2026-07-06; 41 of 75 to 120 °C-days over base 5 °C (assumed).',
    );
  });

  it('says when the window is over, and when nothing can come', () => {
    expect(say({}, NOW_MS + 6 * DAY_MS)).toContain('was due from 2026-07-03');
    expect(say({ earliestMs: null, latestMs: null })).toContain('too cold');
  });

  it('says since when warmth counts, and what is missing', () => {
    const text = say({ countedFromMs: NOW_MS - DAY_MS, missingHours: 4 });
    expect(text).toContain('warmth is known only since 2026-06-30 06:00');
    expect(text).toContain('4 h without a temperature');
  });
});

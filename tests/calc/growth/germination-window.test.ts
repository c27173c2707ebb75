import { describe, expect, test } from 'vitest';
import { germinationWindow, scaledPace } from '../../../calc/growth/germination-clock.ts';
import type { GerminationPace } from '../../../calc/growth/thermal-time.ts';

const HOUR_MS = 3_600_000;
/** An invented seed lot in an invented seedbed that gains one degree-day in each hour. */
const pace: GerminationPace = {
  baseTempC: 5,
  noneBelowC: 7,
  ceilingTempC: 30,
  leastCDays: 75,
  mostCDays: 120,
  rootTipsFraction: 0.6,
};
const hours = Array.from({ length: 400 }, (_, at) => ({ startMs: at * HOUR_MS, tempC: 29 }));
type Sign = NonNullable<Parameters<typeof germinationWindow>[0]['seen']>[number]['sign'];

function window(...seen: [Sign, number][]) {
  const found = germinationWindow({
    sownMs: 0,
    nowMs: 50 * HOUR_MS,
    hours,
    seen: seen.map(([sign, atH]) => ({ sign, atMs: atH * HOUR_MS })),
    pace,
  });
  const { earliest, latest, ...others } = found;
  return {
    ...others,
    earliestH: (earliest?.atMs ?? Number.NaN) / HOUR_MS,
    latestH: (latest?.atMs ?? Number.NaN) / HOUR_MS,
  };
}

describe('the window of the first green', () => {
  test('is told by warmth alone where nothing was seen', () => {
    expect(window()).toEqual({
      baseTempC: 5,
      sumCDays: 50,
      missingHours: 0,
      leastCDays: 75,
      mostCDays: 120,
      earliestH: 75,
      latestH: 120,
      correctedBy: null,
      scaleFraction: 1,
      overdue: false,
    });
  });

  test('closes at the first green that was seen', () => {
    const found = window(['green', 95], ['green', 90], ['nothing', 99]);
    expect(found).toMatchObject({
      leastCDays: 90,
      mostCDays: 90,
      earliestH: 90,
      latestH: 90,
      correctedBy: 'green',
      overdue: false,
    });
    // Half-way between 75 and 120 would have been 97.5.
    expect(found.scaleFraction).toBeCloseTo(90 / 97.5, 12);
    expect(window(['green', 10]).scaleFraction).toBeCloseTo(1 / 3, 12);
    expect(window(['green', 300]).scaleFraction).toBe(3);
  });

  test('is stretched or shrunk by root tips, which were expected at six tenths', () => {
    const expected = window(['root_tips', 58.5]);
    expect(expected).toMatchObject({ earliestH: 75, latestH: 120, correctedBy: 'root_tips' });
    expect(expected.scaleFraction).toBeCloseTo(1, 12);
    const late = window(['root_tips', 117], ['root_tips', 130]);
    expect(late.scaleFraction).toBeCloseTo(2, 12);
    expect(late).toMatchObject({ earliestH: 150, latestH: 240 });
    expect(window(['root_tips', 1]).scaleFraction).toBeCloseTo(1 / 3, 12);
  });

  test('cannot lie before a look that found nothing', () => {
    expect(window(['nothing', 75])).toMatchObject({ earliestH: 75, correctedBy: null });
    expect(window(['nothing', 80], ['nothing', 60])).toMatchObject({
      earliestH: 80,
      latestH: 120,
      leastCDays: 80,
      mostCDays: 120,
      correctedBy: 'nothing',
      overdue: false,
    });
    expect(window(['nothing', 120])).toMatchObject({ latestH: 120, overdue: false });
    expect(window(['nothing', 121])).toMatchObject({
      earliestH: 121,
      latestH: 121,
      mostCDays: 121,
      overdue: true,
    });
  });
});

describe('a pace', () => {
  const making = (change: Partial<GerminationPace>) => () => scaledPace({ ...pace, ...change }, 1);

  test.each<[Partial<GerminationPace>, Partial<GerminationPace>]>([
    [{ baseTempC: -5 }, { baseTempC: -5.1 }],
    [{ baseTempC: 15 }, { baseTempC: 15.1 }],
    [{ noneBelowC: -5 }, { noneBelowC: -5.1 }],
    [{ noneBelowC: 20 }, { noneBelowC: 20.1 }],
    [{ ceilingTempC: 50 }, { ceilingTempC: 50.1 }],
    [{ ceilingTempC: 7.1 }, { ceilingTempC: 7 }],
    [
      { baseTempC: 12, ceilingTempC: 12.1 },
      { baseTempC: 12, ceilingTempC: 12 },
    ],
    [{ leastCDays: 0.1 }, { leastCDays: 0 }],
    [{ mostCDays: 75 }, { mostCDays: 74.9 }],
    [{ rootTipsFraction: 1 }, { rootTipsFraction: 1.01 }],
    [{ rootTipsFraction: 0.01 }, { rootTipsFraction: 0 }],
  ])('may be so: %j, and not so: %j', (within, beyond) => {
    expect(making(within)).not.toThrow();
    expect(making(beyond)).toThrow(RangeError);
  });

  test('is scaled in both its sums', () => {
    expect(scaledPace(pace, 0.8)).toMatchObject({ leastCDays: 60, mostCDays: 96, baseTempC: 5 });
    expect(() => scaledPace(pace, 0)).toThrow(RangeError);
  });
});

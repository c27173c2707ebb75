import { describe, expect, it } from 'vitest';
import { dryBalance } from '../../../calc/schedule/bed-balance.ts';
import { nextDue } from '../../../calc/schedule/due-window.ts';
import { type ObstructedStart, shortagesOf } from '../../../calc/schedule/shortages.ts';
import { unsureSand, unsureState } from '../../unsure-sand.ts';

const START_MS = Date.parse('2026-07-01T05:00:00Z');
const STEP_MS = 300_000;
const at = (step: number) => START_MS + step * STEP_MS;

/** A full bed of 1.2 mm that loses 0.1 mm every five minutes for two hours: dry after one. */
const balance = dryBalance({
  store: unsureSand({ capacityMm: 1.2, lessMm: 0.3 }),
  grid: { startMs: START_MS, steps: 24 },
  demand: { demandMm: new Float64Array(24).fill(0.1), rainMm: new Float64Array(24) },
  stateNow: unsureState(1.2, { lessMm: 0.3 }),
});
const window = { firstStartMs: START_MS, lastEndMs: at(22), nextFirstStartMs: at(24) };

const short = (
  change: {
    daylight?: { startMs: number; endMs: number };
    obstructed?: ObstructedStart[];
    window?: typeof window;
  } = {},
) =>
  shortagesOf({
    bedId: 'bed',
    balance,
    daylight: { startMs: START_MS, endMs: at(20) },
    window,
    obstructed: [],
    ...change,
  });

describe('a bed that nobody waters', () => {
  it('is short from where one sand in five is dry to the end of daylight', () => {
    // One sand in five stands at its limit at step 9, and below from step 10 on.
    expect(short()).toMatchObject([
      {
        bedId: 'bed',
        fromMs: at(10),
        toMs: at(20),
        minutesBelowReserve: 50,
        // At step 12 it stands at its limit, and below from step 13 on.
        minutesBelowDryLimit: expect.any(Number),
        cause: { kind: 'no_cycle_helps' },
        remedy: null,
      },
    ]);
    const [only] = short();
    expect([35, 40]).toContain(only?.minutesBelowDryLimit);
    expect(only?.lowestStoreMm).toBeCloseTo(-0.7, 9);
  });

  it('is not short where there is no daylight, or for less than ten minutes of it', () => {
    expect(short({ daylight: { startMs: START_MS, endMs: at(10) } })).toEqual([]);
    expect(short({ daylight: { startMs: START_MS, endMs: at(11) } })).toEqual([]);
    const [two, ...more] = short({ daylight: { startMs: START_MS, endMs: at(12) } });
    expect(more).toEqual([]);
    expect(two).toMatchObject({
      minutesBelowReserve: 10,
      minutesBelowDryLimit: 0,
      cause: { kind: 'reserve_only' },
    });
    expect(short({ daylight: { startMs: at(15), endMs: at(18) } })).toMatchObject([
      { fromMs: at(15), toMs: at(18), minutesBelowReserve: 15 },
    ]);
  });

  it('names what stood in the way at most of the starts, up to a quarter of an hour before', () => {
    const cause = (...obstructed: ObstructedStart[]) => short({ obstructed })[0]?.cause;
    const pump = (step: number): ObstructedStart => ({
      bedId: 'bed',
      atMs: at(step),
      by: { kind: 'pump' },
    });
    const mow = (step: number): ObstructedStart => ({
      bedId: 'bed',
      atMs: at(step),
      by: { kind: 'keep_off', off: { why: 'mow' }, endMs: at(14) },
    });
    expect(cause(pump(11))).toEqual({ kind: 'pump' });
    expect(cause(pump(7))).toEqual({ kind: 'pump' });
    expect(cause(pump(6))).toEqual({ kind: 'no_cycle_helps' });
    expect(cause(pump(20))).toEqual({ kind: 'no_cycle_helps' });
    expect(cause({ ...pump(11), bedId: 'other' })).toEqual({ kind: 'no_cycle_helps' });
    expect(cause(pump(11), mow(12), mow(13))).toEqual({
      kind: 'keep_off',
      off: { why: 'mow' },
      endMs: at(14),
    });
    expect(cause(pump(11), pump(12), mow(13))).toEqual({ kind: 'pump' });
    expect(cause({ ...pump(11), by: { kind: 'rest' } })).toEqual({ kind: 'rest' });
  });

  it('blames the hours only for what begins outside them', () => {
    const early: ObstructedStart = { bedId: 'bed', atMs: at(11), by: { kind: 'before_hours' } };
    const later = { ...window, firstStartMs: at(12) };
    expect(short({ obstructed: [early], window: later })[0]?.cause).toEqual({
      kind: 'before_hours',
      firstStartMs: at(12),
    });
    expect(short({ obstructed: [early] })[0]?.cause).toEqual({ kind: 'no_cycle_helps' });
    const over = (step: number): ObstructedStart => ({
      bedId: 'bed',
      atMs: at(step),
      by: { kind: 'day_over' },
    });
    expect(short({ obstructed: [over(11)] })[0]?.cause).toEqual({
      kind: 'day_over',
      lastEndMs: at(22),
    });
    expect(short({ obstructed: [over(12)] })[0]?.cause).toEqual({ kind: 'no_cycle_helps' });
  });
});

describe('when its next cycle is owed', () => {
  const due = (change: Partial<Parameters<typeof nextDue>[0]> = {}) =>
    nextDue({
      balance,
      smallestNetMm: 0.45,
      fromMs: START_MS,
      window,
      durationMs: 2 * STEP_MS,
      leadMs: 0,
      ...change,
    });
  const rounded = (found: ReturnType<typeof nextDue>) =>
    found === null
      ? null
      : [found.openMs, found.earliestMs, found.latestMs].map(
          (ms) => Math.round((10 * (ms - START_MS)) / STEP_MS) / 10,
        );

  it('opens with the day, fits from where there is room, and is late when one sand in five is dry', () => {
    expect(rounded(due())).toEqual([0, 5, 9]);
    expect(rounded(due({ leadMs: STEP_MS }))).toEqual([0, 5, 8]);
    expect(rounded(due({ fromMs: at(3) }))).toEqual([3, 5, 9]);
    expect(rounded(due({ fromMs: at(15) }))).toEqual([15, 15, 15]);
    expect(rounded(due({ smallestNetMm: 5 }))).toEqual([0, 9, 9]);
  });

  it('is none where tomorrow is in time, or the day is over', () => {
    expect(due({ window: { ...window, nextFirstStartMs: at(9) - 1 } })).toBeNull();
    expect(due({ window: { ...window, nextFirstStartMs: at(9) + 1000 } })).not.toBeNull();
    expect(due({ fromMs: at(20.5) })).toBeNull();
    expect(due({ fromMs: at(20) })).not.toBeNull();
  });

  it('carries the store over a night where there is room before the day’s last start', () => {
    const early = { ...window, lastEndMs: at(8) };
    // One sand in five is dry at step 9, after the last start at step 6.
    expect(rounded(due({ window: early }))).toEqual([0, 5, 6]);
    expect(due({ window: early, smallestNetMm: 0.75 })).toBeNull();
    // Dry while the sun is up, some of a rotation lost is the smaller loss.
    const light = { ...early, sunsetMs: at(13) };
    expect(rounded(due({ window: light, smallestNetMm: 0.75 }))).toEqual([0, 6, 6]);
    expect(due({ window: { ...early, sunsetMs: at(12) - 1000 }, smallestNetMm: 0.75 })).toBeNull();
  });
});

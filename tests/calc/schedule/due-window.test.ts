import { describe, expect, it } from 'vitest';
import { plainStore } from '../../../calc/sand/seedbed-store.ts';
import { type BedBalance, dryBalance } from '../../../calc/schedule/bed-balance.ts';
import { nextDue, type WaterWindow } from '../../../calc/schedule/due-window.ts';
import { unsureSand, unsureState } from '../../unsure-sand.ts';

const START_MS = Date.parse('2026-07-01T05:00:00Z');
const MIN_MS = 60_000;
const at = (minutes: number) => START_MS + minutes * MIN_MS;

/** An invented bed of 1.2 mm that loses 0.1 mm in five minutes: one sand in five is dry after 45 min. */
const balance = dryBalance({
  store: unsureSand({ capacityMm: 1.2, lessMm: 0.3 }),
  grid: { startMs: START_MS, steps: 48 },
  demand: {
    demandMm: new Float64Array(48).fill(0.1),
    rainMm: new Float64Array(48),
  },
  stateNow: unsureState(1.2, { lessMm: 0.3 }),
});

type Change = Partial<WaterWindow> & { leadMin?: number; fromMs?: number; bed?: BedBalance };

const due = (change: Change = {}) => {
  const { leadMin = 0, fromMs = START_MS, bed = balance, ...window } = change;
  return nextDue({
    balance: bed,
    smallestNetMm: 0.3,
    fromMs,
    window: {
      firstStartMs: START_MS,
      lastEndMs: at(180),
      nextFirstStartMs: at(230),
      ...window,
    },
    durationMs: 4 * MIN_MS,
    leadMs: leadMin * MIN_MS,
  });
};

const known = dryBalance({
  ...balance,
  store: plainStore({ capacityMm: 1.2, feedMmPerH: 0 }),
  stateNow: { storeMm: 1.2 },
});

describe('the next cycle that a bed is owed', () => {
  it('begins by the time at which one sand in five is dry, and not before its dose has room', () => {
    expect(due()).toEqual({ openMs: START_MS, earliestMs: at(15), latestMs: at(45) });
  });

  it('begins by the time at which a sand that is known is dry', () => {
    expect(due({ bed: known })).toEqual({ openMs: START_MS, earliestMs: at(15), latestMs: at(60) });
    expect(due({ bed: known, leadMin: 3 })).toMatchObject({ latestMs: at(57) });
    expect(due({ bed: known, nextFirstStartMs: at(60) })).toBeNull();
    expect(due({ bed: known, nextFirstStartMs: at(61) })).not.toBeNull();
  });

  it('begins by as much sooner as its last station waits', () => {
    expect(due({ leadMin: 3 })).toMatchObject({ latestMs: at(42) });
    // The wait brings it within the hours: 45 min of store, 3 of waiting, 4 of running.
    expect(due({ leadMin: 3, lastEndMs: at(46) })).toMatchObject({ latestMs: at(42) });
    expect(due({ leadMin: 3, lastEndMs: at(45) })).toMatchObject({ latestMs: at(41) });
  });

  it('begins at once where it would be too late before water may run', () => {
    const late = due({ firstStartMs: at(60) });
    expect(late).toMatchObject({ openMs: at(60), latestMs: at(60) });
    expect(due({ fromMs: at(50) })).toMatchObject({ openMs: at(50), latestMs: at(50) });
  });

  it('is carried over by the last start of the day, where there is room or the sun is still up', () => {
    expect(due({ lastEndMs: at(30) })).toMatchObject({ earliestMs: at(15), latestMs: at(26) });
    expect(due({ lastEndMs: at(10) })).toBeNull();
    expect(due({ lastEndMs: at(10), sunsetMs: at(100) })).toMatchObject({ latestMs: at(6) });
  });

  it('is none where the store lasts until tomorrow, or the hours are over', () => {
    expect(due({ nextFirstStartMs: at(45) })).toBeNull();
    expect(due({ nextFirstStartMs: at(46) })).not.toBeNull();
    expect(due({ fromMs: at(177) })).toBeNull();
  });
});

import { describe, expect, it } from 'vitest';
import { copyBalance } from '../../../calc/schedule/bed-balance.ts';
import { cycleNeed } from '../../../calc/schedule/cycle-reasons.ts';
import { at, type HandBed, laidDay, minutesOf } from '../../laid-day.ts';

interface Asked {
  index?: number;
  freeMin?: number;
  isRested?: boolean;
  /** First start, last end, tomorrow's first start, in minutes. */
  hours?: [number, number, number];
  kept?: string[];
  restMin?: number;
}

/** Sums of halves: 1 mm, of which 0.3 are the reserve, down to it at 56 min; a turn brings half a one. */
function need(cycles: HandBed['cycles'], change: Partial<HandBed> = {}, asked: Asked = {}) {
  const { index = 0, freeMin = 0, isRested = false, hours = [0, 180, 240], restMin = 30 } = asked;
  const [firstMin, lastMin, nextMin] = hours;
  const kept = (asked.kept ?? []).map((bedId) => ({
    ...{ bedId, startMs: at(-9), endMs: at(-7), grossMm: 1, netMm: 1, rotations: 1 },
    ...{ driftLossFraction: 0, runs: [] },
  }));
  const layout = laidDay(
    [
      {
        id: 'a',
        stations: [{ precipitationRateMmPerH: 15 }],
        lossMm: () => 1 / 16,
        ...(cycles === undefined ? {} : { cycles }),
        ...change,
      },
    ],
    {
      window: { firstStartMs: at(firstMin), lastEndMs: at(lastMin), nextFirstStartMs: at(nextMin) },
      kept,
      limits: { restMin },
    },
  );
  const [bed] = layout.beds;
  if (bed === undefined) throw new Error('no bed');
  const balance = copyBalance(bed.placing.balance);
  const freeMs = at(freeMin);
  const found = cycleNeed({ input: layout.input, bed, index, balance, freeMs, isRested });
  const { wantedMs } = found;
  return { ...found, wantedMs: wantedMs === null ? null : minutesOf(wantedMs) };
}

const nothing = { why: null, rested: null, wantedMs: null };
const reserve = (minute: number) => ({ code: 'store_at_reserve', atMs: at(minute) });

describe('what a cycle is needed for', () => {
  it('is the reserve, which the bed comes to without it', () => {
    expect(need([[50]])).toEqual({ why: reserve(56), rested: null, wantedMs: 56 });
    expect(need([[50]], { lossMm: () => 1 / 128 })).toEqual(nothing);
    expect(need([[50]], {}, { index: 1 })).toEqual(nothing);
  });

  it('is none that tomorrow’s first water would not be in time for', () => {
    const by = (nextMin: number) => need([[50]], {}, { hours: [0, 58, nextMin] });
    expect(by(56)).toEqual({ why: reserve(56), rested: null, wantedMs: null });
    expect(by(56.5)).toEqual({ why: reserve(56), rested: null, wantedMs: 56 });
  });

  it('is the rest of the day, where it carries the bed to tomorrow’s first water', () => {
    const last = (nextMin: number) => ({
      why: { code: 'last_of_day', untilMs: at(nextMin) },
      rested: null,
      wantedMs: 48,
    });
    // With its half millimetre the bed is dry after 120 min: the step at 125 is the first.
    expect(need([[47]], {}, { hours: [0, 50, 125] })).toEqual(last(125));
    expect(need([[47]], {}, { hours: [0, 50, 126] })).toEqual({
      why: reserve(56),
      rested: null,
      wantedMs: null,
    });
    // The night takes nothing.
    const lossMm = (step: number) => (step < 26 ? 1 / 16 : 0);
    expect(need([[47, 2]], { lossMm }, { hours: [0, 52, 240] }).why?.code).toBe('last_of_day');
    expect(need([[10], [47]], {}, { hours: [0, 50, 125] }).why?.code).toBe('store_at_reserve');
    expect(need([[47]], {}, { hours: [0, 58, 125] }).why).toEqual(reserve(56));
    expect(need([[47]], {}, { hours: [0, 57.5, 125] }).why?.code).toBe('last_of_day');
  });

  it('does not carry over a bed that is dry as its last cycle begins', () => {
    const late = need([[86]], { storeMm: 1.0625 }, { hours: [0, 50, 90] });
    expect(late.why?.code).toBe('last_of_day');
    const dry = need([[91]], { storeMm: 1.0625 }, { hours: [0, 50, 95] });
    expect(dry.why?.code).toBe('store_at_reserve');
  });

  it('is the first of the day where the night has left the bed at its reserve', () => {
    const hours: Asked['hours'] = [60, 180, 240];
    const first = need([[60]], {}, { hours });
    expect(first).toEqual({ why: { code: 'first_of_day' }, rested: null, wantedMs: 60 });
    expect(need([[60]], {}, { hours, kept: ['a'] }).why).toEqual(reserve(56));
    expect(need([[60]], {}, { hours, kept: ['b'] }).why?.code).toBe('first_of_day');
    expect(need([[20], [60]], {}, { hours, index: 1 }).why).toEqual(reserve(56));
    expect(need([[60]], {}, { hours, freeMin: 61 }).why).toEqual(reserve(61));
  });

  it('is in time for the station that waits longest, and after the bed’s rest', () => {
    const two = { stations: [{ precipitationRateMmPerH: 15 }, { precipitationRateMmPerH: 15 }] };
    const waits = (freeMin: number, asked: Asked = {}) =>
      need([[60, 1, 1]], two, { freeMin, isRested: true, ...asked });
    expect(waits(0).wantedMs).toBe(56);
    expect(waits(70)).toMatchObject({ why: reserve(70), wantedMs: 70 });
  });

  it('is the rest, of one station as of two, where the bed is at its reserve as that ends', () => {
    const one = (freeMin: number) => need([[60]], {}, { freeMin, isRested: true });
    expect(one(70).rested).toEqual({ code: 'rested_first', restMin: 30 });
    // It comes to its reserve after its rest, or just then: not the rest is what it waited for.
    expect(one(55).rested).toBeNull();
  });
});

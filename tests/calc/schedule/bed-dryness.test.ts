import { describe, expect, it } from 'vitest';
import { plainStore, type SeedbedStore } from '../../../calc/sand/seedbed-store.ts';
import { bookWater, copyBalance, dryBalance } from '../../../calc/schedule/bed-balance.ts';
import {
  drynessOf,
  drynessWith,
  isLessDry,
  lastDryMs,
} from '../../../calc/schedule/bed-dryness.ts';
import { at, type HandBed, handBed, minutesOf } from '../../laid-day.ts';

/** 0.1 mm are gone after ten minutes; from then on it is 0.05 mm drier with each step. */
const balanceOf = (change: Partial<HandBed> = {}) =>
  handBed({ id: 'bed', storeMm: 0.1, ...change }).balance;
const window = (untilMin: number, light: { sunriseMs?: number; sunsetMs?: number } = {}) => ({
  firstStartMs: at(0),
  lastEndMs: at(180),
  nextFirstStartMs: at(untilMin),
  ...light,
});

describe('how dry a bed gets', () => {
  it('counts the steps that begin below the dry limit, up to tomorrow’s first water', () => {
    // 0.05, 0.1 and 0.15 mm too little at 15, 20 and 25 min.
    const dryness = drynessOf(balanceOf(), window(30));
    expect(dryness.dryMin).toBe(15);
    expect(dryness.shortfallMmMin).toBeCloseTo(5 * 0.3, 9);
    expect(drynessOf(balanceOf(), window(31)).dryMin).toBe(20);
    expect(drynessOf(balanceOf({ storeMm: 1 }), window(105)).dryMin).toBe(0);
    expect(drynessOf(balanceOf({ storeMm: -0.05 }), window(5))).toMatchObject({ dryMin: 5 });
  });

  it('counts them in the night only while the bed loses water', () => {
    const still = { storeMm: -0.1, lossMm: (step: number) => (step < 2 ? 0.05 : 0) };
    expect(drynessOf(balanceOf(still), window(60)).dryMin).toBe(10);
    const light = { sunriseMs: at(20), sunsetMs: at(35) };
    // Lost in the first two steps; by daylight in those at 20, 25 and 30 min.
    expect(drynessOf(balanceOf(still), window(60, light)).dryMin).toBe(25);
    expect(drynessOf(balanceOf(still), window(60, { sunsetMs: at(35) })).dryMin).toBe(10);
    expect(drynessOf(balanceOf(still), window(60, { sunriseMs: at(20) })).dryMin).toBe(10);
  });

  it('ends with the last dry step', () => {
    expect(minutesOf(lastDryMs(balanceOf(), window(60)) ?? Number.NaN)).toBe(60);
    expect(minutesOf(lastDryMs(balanceOf(), window(300)) ?? Number.NaN)).toBe(240);
    expect(minutesOf(lastDryMs(balanceOf(), window(58)) ?? Number.NaN)).toBe(60);
    expect(minutesOf(lastDryMs(balanceOf(), window(20)) ?? Number.NaN)).toBe(20);
    expect(lastDryMs(balanceOf(), window(15))).toBeNull();
    const first = { storeMm: -0.1, lossMm: (step: number) => (step === 0 ? 0.05 : 0) };
    expect(minutesOf(lastDryMs(balanceOf(first), window(60)) ?? Number.NaN)).toBe(5);
  });

  it('is less for fewer minutes, or as many and a fiftieth less deep', () => {
    const dry = (dryMin: number, shortfallMmMin: number) => ({ dryMin, shortfallMmMin });
    expect(isLessDry(dry(5, 90), dry(10, 1))).toBe(true);
    expect(isLessDry(dry(10, 1), dry(5, 90))).toBe(false);
    expect(isLessDry(dry(10, 97.9), dry(10, 100))).toBe(true);
    expect(isLessDry(dry(10, 98), dry(10, 100))).toBe(false);
    expect(isLessDry(dry(10, 0), dry(10, 0))).toBe(false);
  });
});

describe('how dry a bed would get with one watering more', () => {
  const water = (fromMin: number, toMin: number, netMm: number) => [
    { stationId: 'bed-0', startMs: at(fromMin), endMs: at(toMin), netMm },
  ];
  const tried = (change: Partial<Parameters<typeof drynessWith>[2]> = {}) => ({
    water: water(20, 22, 0.6),
    mostMin: 240,
    untilMs: at(240),
    tries: { most: 100 },
    ...change,
  });

  it.each([
    ['in one step', water(20, 22, 0.6)],
    ['over three steps', water(18, 28, 0.6)],
    ['from a step’s begin to a step’s end', water(20, 30, 0.6)],
    ['as the grid begins', water(0, 2, 0.6)],
    ['of which some drains', water(5, 7, 3)],
    ['late in the day', water(200, 203, 0.6)],
  ])('is what it is once that is booked: %s', (_, given) => {
    const booked = copyBalance(balanceOf());
    bookWater(booked, given);
    const found = drynessWith(balanceOf(), window(240), tried({ water: given }));
    const expected = drynessOf(booked, window(240));
    expect(found?.dryMin).toBe(expected.dryMin);
    expect(found?.shortfallMmMin).toBeCloseTo(expected.shortfallMmMin, 6);
    const without = drynessOf(balanceOf(), window(240));
    expect(without.shortfallMmMin).toBeGreaterThan(expected.shortfallMmMin + 1);
  });

  it('takes nothing from steps that end beyond the last dry one', () => {
    // 15 min before the water, and from 20 + 60 + 5 min on.
    const found = drynessWith(balanceOf(), window(240), tried({ untilMs: at(75) }));
    expect(found?.dryMin).toBe(10);
    expect(found?.shortfallMmMin).toBeCloseTo(5 * 0.15, 9);
  });

  it('is given up as soon as it is too long', () => {
    const whole = drynessWith(balanceOf(), window(240), tried())?.dryMin ?? 0;
    expect(drynessWith(balanceOf(), window(240), tried({ mostMin: whole }))?.dryMin).toBe(whole);
    expect(drynessWith(balanceOf(), window(240), tried({ mostMin: whole - 1 }))).toBeNull();
  });

  it('costs a tenth of a try for each step of each sand, until the bed is full either way', () => {
    const known = (change: Partial<HandBed> = {}) => balanceOf({ lessMm: 0, ...change });
    const costOf = (balance: ReturnType<typeof balanceOf>) => {
      const tries = { most: 100 };
      drynessWith(balance, window(240), tried({ tries, untilMs: at(120) }));
      return 100 - tries.most;
    };
    // Steps 4 to 23.
    expect(costOf(known())).toBeCloseTo(2, 9);
    expect(costOf(balanceOf()), 'of three sands').toBeCloseTo(6, 9);
    const rained = known({ rainMm: (step) => (step === 9 ? 9 : 0) });
    const until = { most: 100 };
    drynessWith(rained, window(240), tried({ tries: until, untilMs: at(240) }));
    // Steps 4 to 9: the rain of the last fills it.
    expect(until.most).toBeCloseTo(100 - 0.6, 9);
  });

  it('makes no moist step dry', () => {
    const rained = balanceOf({ rainMm: (step) => (step === 9 ? 9 : 0) });
    expect(drynessWith(rained, window(75), tried({ untilMs: at(75) }))?.dryMin).toBe(10);
    expect(drynessOf(rained, window(75)).dryMin).toBe(35);
  });
});

describe('a store that is dry sooner in hotter air', () => {
  /** 0.6 mm; it is dry a quarter of an hour’s demand before it is empty. */
  const hot: SeedbedStore = {
    ...plainStore({ capacityMm: 1.5, feedMmPerH: 0 }),
    isAdditive: false,
    marginMm: (state, demandMmPerH) => (state['storeMm'] ?? 0) - demandMmPerH / 4,
  };
  const balance = () =>
    dryBalance({
      store: hot,
      grid: { startMs: at(0), steps: 48 },
      demand: {
        demandMm: Float64Array.from({ length: 48 }, (_, step) => (step < 24 ? 1 / 32 : 1 / 16)),
        rainMm: new Float64Array(48),
      },
      stateNow: { storeMm: 0.5 },
    });
  const water = [{ stationId: 'a', startMs: at(70), endMs: at(74), netMm: 1 / 2 }];

  it('is followed by the demand of each step, at four tries a step', () => {
    const booked = balance();
    const tries = { most: 1000 };
    const before = drynessOf(booked, window(240));
    const found = drynessWith(balance(), window(240), {
      water,
      mostMin: 240,
      untilMs: at(240),
      tries,
    });
    bookWater(booked, water);
    const expected = drynessOf(booked, window(240));
    expect(found?.dryMin).toBe(expected.dryMin);
    expect(found?.shortfallMmMin).toBeCloseTo(expected.shortfallMmMin, 9);
    expect(expected.dryMin).toBeLessThan(before.dryMin);
    // Steps 14 to 47.
    expect(tries.most).toBe(1000 - 4 * 34);
  });
});

import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  type BedBalance,
  bookWater,
  copyBalance,
  dryBalance,
  seriesOf,
  stateAt,
  stepAt,
  totalMm,
} from '../../../calc/schedule/bed-balance.ts';
import { drynessOf, drynessWith, lastDryMs } from '../../../calc/schedule/bed-dryness.ts';
import {
  drainedFor,
  firstAtRiskMs,
  firstDryMs,
  firstWithRoom,
  leftMmOf,
  reserveOf,
  roomAt,
} from '../../../calc/schedule/bed-moisture.ts';
import { takenBack } from '../../../calc/schedule/run.ts';
import type { Station } from '../../../calc/schedule/site.ts';
import { smallStation } from '../../small-day.ts';
import { unsureSand, unsureState } from '../../unsure-sand.ts';

const START_MS = Date.parse('2026-07-01T05:00:00Z');
const STEP_MS = 300_000;
const CAPACITY_MM = 1.2;

/** An invented bed on an even grid of five minutes, full or as full as is said. */
function bed(
  demandMm: readonly number[],
  given: { storeMm?: number; lessMm?: number; rainMm?: number[]; stations?: Station[] } = {},
) {
  const { lessMm = 0 } = given;
  const store = unsureSand({ capacityMm: CAPACITY_MM, lessMm });
  return dryBalance({
    store,
    grid: { startMs: START_MS, steps: demandMm.length },
    demand: {
      demandMm: Float64Array.from(demandMm),
      rainMm: Float64Array.from(given.rainMm ?? demandMm.map(() => 0)),
    },
    stateNow: unsureState(given.storeMm ?? CAPACITY_MM, { lessMm }),
    ...(given.stations === undefined ? {} : { stations: given.stations }),
  });
}

const at = (step: number) => START_MS + step * STEP_MS;
const water = (fromStep: number, toStep: number, netMm: number) => [
  { stationId: 'a', startMs: at(fromStep), endMs: at(toStep), netMm },
];
const steady = (steps: number, mm = 0.1) => Array.from({ length: steps }, () => mm);

describe('the balance of a bed that loses 0.1 mm every five minutes', () => {
  it('empties in an hour, and tells what is left until then', () => {
    const balance = bed(steady(24));
    expect(balance.capacityMm).toBe(CAPACITY_MM);
    expect(balance.peakMmPerH).toBeCloseTo(1.2, 12);
    for (const step of [0, 5, 11, 12]) {
      expect(seriesOf(balance).marginMm[step]).toBeCloseTo(1.2 - 0.1 * step, 9);
      expect(leftMmOf(balance)[step]).toBeCloseTo(1.2 - 0.1 * step, 9);
    }
    expect(seriesOf(balance).marginMm[24]).toBeCloseTo(-1.2, 9);
    expect(firstDryMs(balance, START_MS)).toBeCloseTo(at(12), -1);
    expect(firstAtRiskMs(balance, START_MS), 'of one future').toBeCloseTo(at(12), -1);
    expect(reserveOf(balance)).toBeCloseTo(0, 9);
  });

  it('is at risk when the first sand of five is dry, and has left what the others still hold', () => {
    const quarter = bed(steady(24), { lessMm: 0.3 });
    expect(firstDryMs(quarter, START_MS)).toBeCloseTo(at(12), -1);
    expect(firstAtRiskMs(quarter, START_MS)).toBeCloseTo(at(9), -1);
    expect(reserveOf(quarter)).toBeCloseTo(0.3, 9);
    // Between two steps it is told to the second, and never before the time asked from.
    const eighth = bed(steady(24), { lessMm: 0.15 });
    expect(firstAtRiskMs(eighth, START_MS)).toBeCloseTo(at(10.5), -1);
    expect(reserveOf(eighth)).toBeCloseTo(0.15, 9);
    expect(firstAtRiskMs(quarter, at(20))).toBe(at(20));
    expect(firstAtRiskMs(eighth, at(10.4))).toBeCloseTo(at(10.5), -1);
    expect(firstAtRiskMs(eighth, at(10.6))).toBe(at(10.6));
    // 0.6 mm are lost in all: of a sand that holds half as much again nobody is dry.
    expect(firstAtRiskMs(bed(steady(6), { lessMm: 0.3 }), START_MS)).toBeNull();
    expect(reserveOf(bed(steady(6), { lessMm: 0.3 }))).toBe(0);
  });

  it('has room for what it has lost, and drains what is more', () => {
    const balance = bed(steady(24));
    expect(roomAt(balance, at(5))).toBeCloseTo(0.5, 9);
    expect(roomAt(balance, at(5.9))).toBeCloseTo(0.5, 9);
    expect(firstWithRoom(balance, 0.45, START_MS)).toBe(at(5));
    expect(firstWithRoom(balance, 0.45, at(7.5))).toBe(at(7.5));
    expect(firstWithRoom(balance, 99, START_MS)).toBeNull();
    // Five steps lost 0.5 mm; two more lose 0.2 while 1 mm comes.
    const drained = drainedFor(balance, water(5, 7, 1));
    expect(drained).toBeCloseTo(0.3, 9);
    expect(totalMm(seriesOf(balance).drainedMm)).toBeCloseTo(0.3, 9);
    expect(seriesOf(balance).marginMm[7]).toBeCloseTo(CAPACITY_MM, 9);
    expect(firstDryMs(balance, START_MS)).toBeCloseTo(at(19), -1);
    // While it drinks it has no more room than after it.
    expect(roomAt(balance, at(6))).toBeCloseTo(0, 9);
  });

  it('counts what two stations that water alike give as their mean', () => {
    const balance = bed(steady(24));
    const [one] = water(5, 6, 0.4);
    if (one === undefined) throw new Error('no water');
    bookWater(balance, [one, { ...one, stationId: 'b', startMs: at(6), endMs: at(7), netMm: 0.2 }]);
    expect(balance.irrigationMm[0]?.[5]).toBeCloseTo(0.15, 9);
    expect(balance.irrigationMm[0]?.[6]).toBeCloseTo(0.15, 9);
    expect(totalMm(balance.irrigationMm[0] ?? new Float64Array())).toBeCloseTo(0.3, 9);
  });

  it('takes water back, and a copy changes nothing of what it was made of', () => {
    const balance = bed(steady(24));
    const before = [...leftMmOf(balance)];
    const tried = copyBalance(balance);
    bookWater(tried, water(3, 5, 0.5));
    expect([...leftMmOf(balance)]).toEqual(before);
    expect(totalMm(tried.irrigationMm[0] ?? new Float64Array())).toBeCloseTo(0.5, 9);
    bookWater(tried, water(3, 5, -0.5));
    for (const [step, mm] of before.entries()) expect(leftMmOf(tried)[step]).toBeCloseTo(mm, 9);
  });

  it('finds the step of any instant inside its grid, and the state at its ends', () => {
    const balance = bed(steady(24));
    const steps = [-1, 0, 0.99, 1, 23.99, 24, 99].map((step) => stepAt(balance.grid, at(step)));
    expect(steps).toEqual([0, 0, 0, 1, 23, 23, 23]);
    const stores = [-3, 0.4, 0.6, 24, 30].map((step) => stateAt(balance, at(step))['storeMm']);
    for (const [index, mm] of [1.2, 1.2, 1.1, -1.2, -1.2].entries()) {
      expect(stores[index]).toBeCloseTo(mm, 9);
    }
  });
});

const day = fc.record({
  demandMm: fc.array(
    fc.integer({ min: -20, max: 300 }).map((microns) => microns / 1000),
    { minLength: 30, maxLength: 30 },
  ),
  rainMm: fc.array(fc.constantFrom(0, 0, 0, 0.4), { minLength: 30, maxLength: 30 }),
  storeMm: fc.double({ min: -0.3, max: CAPACITY_MM, noNaN: true }),
  /** In order of time. */
  cycles: fc
    .array(
      fc.record({
        fromStep: fc.integer({ min: 0, max: 26 }),
        steps: fc.integer({ min: 1, max: 3 }),
        netMm: fc.double({ min: 0.1, max: 1.5, noNaN: true }),
      }),
      { maxLength: 3 },
    )
    .map((cycles) => cycles.toSorted((a, b) => a.fromStep - b.fromStep)),
});

/** The same bed step by step, with nothing kept but one depth. */
function followed(one: typeof day extends fc.Arbitrary<infer D> ? D : never) {
  let storeMm = one.storeMm;
  const marginMm = [storeMm];
  const drainedMm: number[] = [];
  for (const [step, demandMm] of one.demandMm.entries()) {
    const given = one.cycles
      .filter(({ fromStep, steps }) => step >= fromStep && step < fromStep + steps)
      .reduce((sum, { steps, netMm }) => sum + netMm / steps, 0);
    const fullMm = storeMm + given + (one.rainMm[step] ?? 0) - demandMm;
    storeMm = Math.min(CAPACITY_MM, fullMm);
    drainedMm.push(fullMm - storeMm);
    marginMm.push(storeMm);
  }
  return { marginMm, drainedMm };
}

/** Water above the dry limit summed up to where it first is used up, from the losses alone. */
function leftFrom(marginMm: readonly number[], demandMm: readonly number[], from: number): number {
  if ((marginMm[from] ?? 0) <= 0) return marginMm[from] ?? 0;
  let lostMm = 0;
  for (let step = from; step < demandMm.length; step++) {
    const [before = 0, after = 0] = [marginMm[step], marginMm[step + 1]];
    const lossMm = Math.max(0, demandMm[step] ?? 0);
    if (after <= 0) return lostMm + (lossMm * before) / (before - after);
    lostMm += lossMm;
  }
  return lostMm + (marginMm.at(-1) ?? 0);
}

describe('the balance of any bed', () => {
  const booked = (one: typeof day extends fc.Arbitrary<infer D> ? D : never): BedBalance => {
    const balance = bed(one.demandMm, one);
    for (const { fromStep, steps, netMm } of one.cycles) {
      bookWater(balance, water(fromStep, fromStep + steps, netMm));
    }
    return balance;
  };

  it('is that of one depth followed by itself', () => {
    fc.assert(
      fc.property(day, (one) => {
        const balance = booked(one);
        const { marginMm, drainedMm } = followed(one);
        for (const [step, mm] of marginMm.entries()) {
          expect(seriesOf(balance).marginMm[step]).toBeCloseTo(mm, 9);
          // What is left is what there is when nothing more is given than has begun.
          const begun = one.cycles.filter(({ fromStep }) => fromStep < step);
          const alone = followed({ ...one, cycles: begun }).marginMm;
          expect(leftMmOf(balance)[step]).toBeCloseTo(leftFrom(alone, one.demandMm, step), 6);
        }
        for (const [step, mm] of drainedMm.entries()) {
          expect(seriesOf(balance).drainedMm[step]).toBeCloseTo(mm, 9);
        }
      }),
      { seed: 63, numRuns: 150 },
    );
  });

  const window = {
    firstStartMs: START_MS,
    lastEndMs: at(24),
    nextFirstStartMs: at(28),
    sunriseMs: at(2),
    sunsetMs: at(25),
  };

  it('is dry in the steps of light, and in those that lose water, below its limit', () => {
    fc.assert(
      fc.property(day, (one) => {
        const { marginMm } = followed(one);
        const dry = one.demandMm.flatMap((demandMm, step) => {
          const isCounted = demandMm > 0 || (step >= 2 && step < 25);
          return step < 28 && isCounted && (marginMm[step] ?? 0) < -1e-6 ? [step] : [];
        });
        const balance = booked(one);
        const { dryMin, shortfallMmMin } = drynessOf(balance, window);
        expect(dryMin).toBe(5 * dry.length);
        const shortMm = dry.reduce((sum, step) => sum - (marginMm[step] ?? 0), 0);
        expect(shortfallMmMin).toBeCloseTo(5 * shortMm, 6);
        const last = dry.at(-1);
        expect(lastDryMs(balance, window)).toBe(last === undefined ? null : at(last + 1));
      }),
      { seed: 64, numRuns: 150 },
    );
  });

  it('is as dry with a watering that is tried as with one that is booked', () => {
    const own = { stationId: 'a', netMm: 0.6 };
    fc.assert(
      fc.property(day, fc.integer({ min: 0, max: 26 }), (one, fromStep) => {
        const balance = booked(one);
        const tried = {
          water: [{ ...own, startMs: at(fromStep) + 60_000, endMs: at(fromStep) + 420_000 }],
          ...{ mostMin: Number.POSITIVE_INFINITY, untilMs: window.nextFirstStartMs },
        };
        const without = drynessOf(balance, window);
        const tries = { most: 1000 };
        const guess = drynessWith(balance, window, { ...tried, tries });
        expect(tries.most).toBeLessThan(1000);
        bookWater(balance, tried.water);
        const real = drynessOf(balance, window);
        expect(guess?.dryMin).toBe(real.dryMin);
        expect(guess?.shortfallMmMin).toBeCloseTo(real.shortfallMmMin, 2);
        expect(real.dryMin).toBeLessThanOrEqual(without.dryMin);
        // What is sure to be dry for longer is not followed to its end.
        if (real.dryMin >= 5) {
          bookWater(balance, takenBack(tried.water));
          const shorter = { ...tried, mostMin: real.dryMin - 5, tries: { most: 1000 } };
          expect(drynessWith(balance, window, shorter)).toBeNull();
          const asLong = { ...tried, mostMin: real.dryMin, tries: { most: 1000 } };
          expect(drynessWith(balance, window, asLong)?.dryMin).toBe(real.dryMin);
        }
      }),
      { seed: 65, numRuns: 150 },
    );
  });

  it('follows each part by the water and the time of its own station', () => {
    const stations = [
      smallStation('full', {}),
      smallStation('half', { precipitationRateMmPerH: 36, rotationS: 50 }),
    ];
    fc.assert(
      fc.property(fc.integer({ min: 0, max: 20 }), fc.integer({ min: 0, max: 6 }), (from, wait) => {
        const balance = bed(steady(28), { storeMm: 0.7, stations });
        const given = [
          { stationId: 'full', startMs: at(from), endMs: at(from) + 120_000, netMm: 0.5 },
          { stationId: 'half', startMs: at(from + wait), endMs: at(from + wait + 1), netMm: 0.3 },
        ];
        const tried = { mostMin: Number.POSITIVE_INFINITY, untilMs: window.nextFirstStartMs };
        const tries = { most: 1000 };
        const guess = drynessWith(balance, window, { ...tried, tries, water: given });
        bookWater(balance, given);
        const real = drynessOf(balance, window);
        expect(guess?.dryMin).toBe(real.dryMin);
        expect(guess?.shortfallMmMin).toBeCloseTo(real.shortfallMmMin, 9);
      }),
      { seed: 66, numRuns: 100 },
    );
  });
});

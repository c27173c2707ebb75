import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { leftMmOf } from '../../../calc/schedule/bed-moisture.ts';
import { storeBand } from '../../../calc/schedule/store-band.ts';
import { type HandBed, laidDay, STEPS } from '../../laid-day.ts';

/*
 * One sand in five holds 0.3 mm less than the two others, and all lose 1/16 mm in a step: with three
 * sands that weigh 0.2, 0.4 and 0.4, the fifth of a hundredth lies on the first and the middle and the
 * last on the others (Hazen's positions: 0.1, 0.4 and 0.8).
 */
function bandOf(change: Partial<HandBed> = {}, steps = STEPS) {
  const [laid] = laidDay([{ id: 'bed-1', storeMm: 1, lossMm: () => 1 / 16, ...change }]).beds;
  if (laid === undefined) throw new Error('no bed');
  const { balance } = laid;
  return { band: storeBand(balance, steps), leftMm: leftMmOf(balance) };
}

describe('the band of a store', () => {
  it('has the less holding sand as its lower end, half hour by half hour', () => {
    const { band } = bandOf({}, 24);
    // 1 mm less 6/16 each half hour; the first sand has 0.3 mm less all the while, and is dry first.
    expect(band?.stepMin).toBe(30);
    const storeMm = [1, 0.625, 0.25, -0.125, -0.5];
    for (const [index, mm] of storeMm.entries()) {
      expect(band?.upperMm[index]).toBeCloseTo(mm, 9);
      expect(band?.lowerMm[index]).toBeCloseTo(mm - 0.3, 9);
    }
    expect(band?.lowerMm).toHaveLength(5);
  });

  it('counts what a cycle keeps from drying as if it did not come', () => {
    const without = bandOf({}, 6);
    // Before its water begins a bed has left what it would have without it.
    const { band } = bandOf({ cycles: [[35, 1]] }, 24);
    expect(band?.lowerMm[0]).toBeCloseTo(without.band?.lowerMm[0] ?? 0, 9);
    expect(band?.lowerMm[1]).toBeCloseTo(without.band?.lowerMm[1] ?? 0, 9);
    // At an hour the cycle has brought 0.6 mm: 1 - 12/16 + 0.6, and 0.3 less.
    expect(band?.upperMm[2]).toBeCloseTo(0.85, 9);
    expect(band?.lowerMm[2]).toBeCloseTo(0.55, 9);
  });

  it('is none where the bed has one future', () => {
    expect(bandOf({ lessMm: 0 }).band).toBeNull();
  });

  it('holds the store, whatever comes', () => {
    fc.assert(
      fc.property(
        fc.record({
          lessMm: fc.double({ min: 0.05, max: 0.6, noNaN: true }),
          losses: fc.array(fc.double({ min: 0, max: 0.12, noNaN: true }), {
            minLength: STEPS,
            maxLength: STEPS,
          }),
          rain: fc.array(fc.constantFrom(0, 0, 0, 0.2), { minLength: STEPS, maxLength: STEPS }),
          starts: fc.uniqueArray(fc.integer({ min: 0, max: 20 }), { maxLength: 4 }),
        }),
        ({ lessMm, losses, rain, starts }) => {
          const { band, leftMm } = bandOf({
            lessMm,
            lossMm: (step) => losses[step] ?? 0,
            rainMm: (step) => rain[step] ?? 0,
            cycles: starts.toSorted((a, b) => a - b).map((start) => [10 * start, 1] as const),
          });
          for (const [index, lower] of (band?.lowerMm ?? []).entries()) {
            const mm = leftMm[6 * index] ?? Number.NaN;
            expect(lower).toBeLessThanOrEqual(mm);
            expect(band?.upperMm[index]).toBeGreaterThanOrEqual(mm);
          }
        },
      ),
      { numRuns: 60, seed: 7 },
    );
  });
});

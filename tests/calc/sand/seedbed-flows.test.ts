import { describe, expect, test } from 'vitest';
import type { VanGenuchten } from '../../../calc/sand/hydraulic-properties.ts';
import { firstValues, LOWER_BOUNDS, UPPER_BOUNDS } from '../../../calc/sand/seedbed-fit.ts';
import type { TrainingRun } from '../../../calc/sand/training-runs.ts';
import { seeded } from '../../seeded.ts';

/** Invented layers whose flows follow the model to the letter. */
const POWERS = { fall: 4, rise: 3, out: 6, supply: 2.5 };
const LOGS = { fall: 5, rise: 2, out: 4, supply: 3 };
const poresMm = [3, 6, 60];
const sand: VanGenuchten = {
  residualFraction: 0.05,
  saturatedFraction: 0.4,
  alphaPerCm: 0.05,
  n: 3,
  saturatedMmPerH: 300,
};

const flowsOf = (filled: readonly number[]) => {
  const [seed = 0, below = 0, root = 0] = filled;
  const between = (upper: number, lower: number) =>
    Math.exp(LOGS.fall) * upper ** POWERS.fall +
    Math.exp(LOGS.rise) * (upper ** POWERS.rise - lower ** POWERS.rise);
  return [
    between(seed, below),
    between(below, root),
    Math.exp(LOGS.out) * root ** POWERS.out,
  ] as const;
};

/** One look each, at layers filled by chance: what they held before makes the flows come out. */
function looks(count: number, short: number): TrainingRun[] {
  const next = seeded(7);
  return Array.from({ length: count }, (_, at) => {
    const filled = poresMm.map(() => 0.15 + 0.6 * next());
    const supplyMmPerH = Math.exp(LOGS.supply) * (filled[0] ?? 0) ** POWERS.supply;
    const isShort = at < short;
    const hours = 1 / 12;
    const evaporationMmPerH = isShort ? supplyMmPerH : 0.3;
    const demandMmPerH = isShort ? 2 * supplyMmPerH : 0.3;
    const waterMmPerH = at % 3 === 0 ? 18 : 0;
    const after = filled.map((part, layer) => part * (poresMm[layer] ?? 1));
    let inMmPerH = waterMmPerH - evaporationMmPerH;
    const before = after.map((mm, layer) => {
      const outMmPerH = flowsOf(filled)[layer] ?? 0;
      const beforeMm = mm - (inMmPerH - outMmPerH) * hours;
      inMmPerH = outMmPerH;
      return beforeMm;
    });
    return {
      name: `look ${at}`,
      spells: [{ hours, waterMmPerH, demandMmPerH }],
      fromH: 0,
      dryAtH: null,
      layersMm: [before, after],
      evaporationMmPerH: [evaporationMmPerH],
    };
  });
}

describe('the first numbers of a planning model', () => {
  test('are those of flows that follow the model', () => {
    const values = firstValues(looks(300, 60), { poresMm, sand });
    const layer = [LOGS.fall, POWERS.fall, LOGS.rise, POWERS.rise];
    const expected = [...layer, ...layer, LOGS.out, POWERS.out, LOGS.supply, POWERS.supply];
    expect(values).toHaveLength(12);
    for (const [at, value] of values.entries()) {
      expect(Math.abs(value - (expected[at] ?? Number.NaN)), `number ${at}`).toBeLessThan(0.05);
    }
  });

  test('take an ample supply where no more than three looks were short of one', () => {
    expect(firstValues(looks(120, 3), { poresMm, sand }).slice(10)).toEqual([12, 3]);
    const four = firstValues(looks(120, 4), { poresMm, sand }).slice(10);
    expect(Math.abs((four[0] ?? 0) - LOGS.supply)).toBeLessThan(0.05);
    expect(Math.abs((four[1] ?? 0) - POWERS.supply)).toBeLessThan(0.05);
  });

  test('lie within their bounds, which leave room for each', () => {
    expect(LOWER_BOUNDS).toHaveLength(12);
    expect(UPPER_BOUNDS).toHaveLength(12);
    for (const [at, least] of LOWER_BOUNDS.entries()) {
      expect(least).toBeLessThan(UPPER_BOUNDS[at] ?? 0);
    }
    // Flows that no power explains: the layers are as full at every look.
    const odd = looks(30, 0).map((one) => ({ ...one, evaporationMmPerH: [5] }));
    for (const [at, value] of firstValues(odd, { poresMm, sand }).entries()) {
      expect(value).toBeGreaterThanOrEqual(LOWER_BOUNDS[at] ?? Number.NaN);
      expect(value).toBeLessThanOrEqual(UPPER_BOUNDS[at] ?? Number.NaN);
    }
  });
});

import { describe, expect, it, test } from 'vitest';
import { dryDownTable } from '../../../calc/sand/bed-column.ts';
import { type VanGenuchten, vanGenuchtenMualem } from '../../../calc/sand/hydraulic-properties.ts';
import { drawnOfClass } from '../../../calc/sand/possible-sands.ts';
import { sandClassData } from '../../../calc/sand/sand-class-data.ts';
import { membersOfClass, sandClassModels } from '../../../calc/sand/sand-class-models.ts';
import { sandClass, sandClasses } from '../../../calc/sand/sand-classes.ts';
import { hoursToDry } from '../../../calc/sand/seedbed-dynamics.ts';
import { GREATEST_SOUND_COST } from '../../../calc/sand/seedbed-fit.ts';
import { packedModel, packedSand, unpackedModel } from '../../../calc/sand/seedbed-model.ts';
import { candidateSands, inputsDigest, MEMBERS } from '../../generators/sand-members.ts';
import { seeded } from '../../seeded.ts';

/** Of values in order of size, the one at this part of them. */
function quantile(values: readonly number[], part: number): number {
  const sorted = values.toSorted((a, b) => a - b);
  return sorted[Math.round(part * (sorted.length - 1))] ?? Number.NaN;
}

/** Of draws that no model was made from. */
const UNSEEN_SEED = 777;

describe.each(sandClasses)('the data of $key', (sandClass) => {
  const data = Object.entries(sandClassData).find(([key]) => key === sandClass.key)?.[1];
  const members = membersOfClass(sandClass.key);

  it('was generated from the class, the dry limit and the derivation of today', () => {
    // Fails when one of them is changed: `npm run generate:sands`.
    expect(data?.inputsDigest).toBe(inputsDigest(sandClass));
  });

  it('has models that fit their column runs', () => {
    expect(sandClassModels[sandClass.key]?.missCost).toBeLessThan(0.1);
    expect(data?.members).toHaveLength(MEMBERS);
    for (const { missCost } of data?.members ?? []) {
      expect(missCost).toBeLessThanOrEqual(GREATEST_SOUND_COST);
    }
  });

  it('has the sands that are spread over the class, one in each of its strata', () => {
    const drawn = candidateSands(sandClass);
    for (const [index, { sand }] of members.entries()) {
      const isOne = (draw: VanGenuchten) =>
        packedSand(draw).every((value, i) => {
          const kept = packedSand(sand)[i] ?? Number.NaN;
          return Math.abs(kept - value) <= 1e-5 * value;
        });
      expect(drawn[index]?.some(isOne)).toBe(true);
    }
  });
});

// Sands that no model was made from. The runs of a model's derivation are other ones, too: from full
// and from drained, at losses of their own.
test.each(['coarse_open', 'medium_over_gravel'])(
  'members of %s last as long as sands of the class that were drawn by chance',
  (key) => {
    const { bed, ...rest } = sandClass(key);
    const unit = seeded(UNSEEN_SEED);
    const drawn = Array.from({ length: 12 }, () => drawnOfClass({ bed, ...rest }, unit).real);
    for (const demandMmPerH of [0.4, 0.8]) {
      const hours = drawn.map(
        (sand) =>
          dryDownTable({ ...bed, sand }, { ratesMmPerH: [demandMmPerH], longestH: 30 })[0]?.hours ??
          30,
      );
      const modelled = membersOfClass(key).map(
        ({ model }) => hoursToDry(model, model.full, [{ hours: 30, demandMmPerH }])?.hours ?? 30,
      );
      // The chance of twelve draws: their median lies inside the middle two thirds of the members.
      expect(quantile(hours, 0.5)).toBeGreaterThanOrEqual(quantile(modelled, 1 / 6));
      expect(quantile(hours, 0.5)).toBeLessThanOrEqual(quantile(modelled, 5 / 6));
    }
  },
);

test('the ranges hold the defaults, and of greens mixes what is recommended', () => {
  for (const { bed, basis, range } of sandClasses) {
    const soil = vanGenuchtenMualem(bed.sand);
    const inside = (value: number, [least, most]: readonly [number, number]) =>
      expect(value >= least && value <= most).toBe(true);
    inside(bed.sand.n, range.n);
    inside(bed.sand.residualFraction, range.residualFraction);
    inside(bed.sand.saturatedFraction, range.saturatedFraction);
    inside(bed.sand.saturatedMmPerH, range.saturatedMmPerH);
    if (!('throughFraction' in range.alphaPerCm)) inside(bed.sand.alphaPerCm, range.alphaPerCm);
    else inside(soil.waterFraction(-300), range.alphaPerCm.throughFraction);
    if (basis === 'published') continue;
    // Recommendations for greens mixes, as university and trade summaries give them.
    const recommended = [range.saturatedFraction, [0.35, 0.55]] as const;
    for (const end of recommended[0]) inside(end, recommended[1]);
    expect(range.saturatedMmPerH[0]).toBeGreaterThanOrEqual(150);
    if ('throughFraction' in range.alphaPerCm) {
      for (const end of range.alphaPerCm.throughFraction) inside(end, [0.15, 0.25]);
    }
  }
});

test('a packed model is the model, and a row that is too short is refused', () => {
  for (const { model } of Object.values(sandClassModels)) {
    const row = packedModel(model);
    expect(unpackedModel(row)).toEqual(model);
    expect(() => unpackedModel(row.slice(1))).toThrow(/^unpackedModel: .*generate the data anew$/);
  }
  expect(() => membersOfClass('gravel_alone')).toThrow(/^sand: no such class \(got gravel_alone\)/);
});

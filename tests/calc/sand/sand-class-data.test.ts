import { describe, expect, it, test } from 'vitest';
import { bedStore, memberSpread } from '../../../calc/futures/member-spread.ts';
import { dryDownTable } from '../../../calc/sand/bed-column.ts';
import { vanGenuchtenMualem } from '../../../calc/sand/hydraulic-properties.ts';
import { drawnOfClass } from '../../../calc/sand/possible-sands.ts';
import { sandClassData } from '../../../calc/sand/sand-class-data.ts';
import { membersOfClass, sandClassModels } from '../../../calc/sand/sand-class-models.ts';
import { sandClasses } from '../../../calc/sand/sand-classes.ts';
import { packedModel, unpackedModel } from '../../../calc/sand/seedbed-model.ts';
import { inputsDigest, MOST_KEPT } from '../../generators/sand-members.ts';
import { seeded } from '../../seeded.ts';

/** Sands on which nothing was chosen: other draws than the generator's and than any table's. */
const UNSEEN_SEED = 777;

describe.each(sandClasses)('the data of $key', (sandClass) => {
  const data = Object.entries(sandClassData).find(([key]) => key === sandClass.key)?.[1];

  it('was generated from the class, the dry limit and the derivation of today', () => {
    // Fails when one of them is changed: `npm run generate:sands`.
    expect(data?.inputsDigest).toBe(inputsDigest(sandClass));
  });

  it('has models that fit their column runs', () => {
    expect(sandClassModels[sandClass.key]?.missCost).toBeLessThan(0.1);
    expect(data?.members.length).toBeGreaterThanOrEqual(1);
    expect(data?.members.length).toBeLessThanOrEqual(MOST_KEPT);
    for (const member of data?.members ?? []) expect(member.missCost).toBeLessThan(0.5);
  });

  it('is planned as soon dry as sands of the class that nobody chose by', () => {
    const store = bedStore(memberSpread(membersOfClass(sandClass.key).map(({ model }) => model)));
    const unit = seeded(UNSEEN_SEED);
    for (let turn = 0; turn < 8; turn++) {
      const { real } = drawnOfClass(sandClass, unit);
      const rows = dryDownTable(
        { ...sandClass.bed, sand: real },
        { ratesMmPerH: [0.2, 0.5, 0.8], longestH: 48 },
      );
      for (const { demandMmPerH, capacityMm } of rows) {
        // The column's full is half an hour after a soaking, the plan's full after one cycle; the
        // rest is what a range of two dozen draws may leave out.
        const realMm = capacityMm ?? 48 * demandMmPerH;
        expect(store.capacityMm(demandMmPerH)).toBeLessThanOrEqual(1.1 * realMm);
      }
    }
  });
});

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

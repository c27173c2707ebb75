import { describe, expect, it } from 'vitest';
import { probePart, probeTrust } from '../../../calc/looks/look-evidence.ts';
import { sandClassModels } from '../../../calc/sand/sand-class-models.ts';

const model = sandClassModels['medium_open']?.model;
if (model === undefined) throw new Error('the sand classes have changed their names');
const residualFraction = 0.04;
const asked = { model, residualFraction, depthMm: 5, isRooted: false };
const contentOf = (waterMm: number) => residualFraction + waterMm / model.seed.thicknessMm;

describe('a probe reading as a part of the store', () => {
  it('is 1 at what the sand holds overnight and 0 at its dry limit', () => {
    const drained = probePart({ ...asked, contentFraction: contentOf(model.drained.seedMm) });
    const dry = probePart({ ...asked, contentFraction: contentOf(model.dry.seedMm) });
    expect(drained).toBeCloseTo(1, 10);
    expect(dry).toBeCloseTo(0, 10);
  });

  it('counts half of the drained water where roots take from all of the layer', () => {
    const contentFraction = contentOf(model.drained.seedMm / 2);
    expect(probePart({ ...asked, isRooted: true, contentFraction })).toBeCloseTo(0, 10);
  });

  it('is nothing below the sand, and refuses what is no water content', () => {
    expect(probePart({ ...asked, contentFraction: 0.2, depthMm: 2000 })).toBeNull();
    expect(() => probePart({ ...asked, contentFraction: 18 })).toThrow(RangeError);
  });
});

describe('where a probe reads', () => {
  const { seed, below, root, drained, dry } = model;
  const part = (depthMm: number, contentFraction: number, isRooted = false) =>
    probePart({ model, residualFraction, depthMm, contentFraction, isRooted });
  const halfOf = (held: number, limit: number, thicknessMm: number) =>
    residualFraction + (held + limit) / 2 / thicknessMm;

  it('is the layer that ends at or below that depth', () => {
    const inSeed = halfOf(drained.seedMm, dry.seedMm, seed.thicknessMm);
    const inBelow = halfOf(drained.belowMm, dry.belowMm, below.thicknessMm);
    const inRoot = halfOf(drained.rootMm, dry.rootMm, root.thicknessMm);
    expect(part(seed.thicknessMm, inSeed)).toBeCloseTo(0.5, 9);
    expect(part(seed.thicknessMm + 0.1, inBelow)).toBeCloseTo(0.5, 9);
    const belowMm = seed.thicknessMm + below.thicknessMm;
    expect(part(belowMm, inBelow)).toBeCloseTo(0.5, 9);
    expect(part(belowMm + 0.1, inRoot)).toBeCloseTo(0.5, 9);
    expect(part(belowMm + root.thicknessMm, inRoot)).toBeCloseTo(0.5, 9);
    expect(part(belowMm + root.thicknessMm + 0.1, inRoot)).toBeNull();
  });

  it('is taken for no more than half beyond what it may be', () => {
    expect(part(5, 1)).toBe(1.5);
    expect(part(5, 0)).toBeGreaterThanOrEqual(-0.5);
    expect(part(seed.thicknessMm + 1, 0, true)).toBe(-0.5);
    expect(() => part(5, -0.01)).toThrow(RangeError);
    expect(() => part(5, 1.01)).toThrow(RangeError);
    expect(() => part(0, 0.2)).toThrow(RangeError);
  });
});

describe('what a reading is worth', () => {
  it('is little before emergence, where the eye outranks it, and more after it', () => {
    expect(probeTrust(true)).toEqual({ spreadFraction: 0.6, weightFraction: 0.15 });
    expect(probeTrust(false)).toEqual({ spreadFraction: 0.25, weightFraction: 0.6 });
  });
});

import { describe, expect, it } from 'vitest';
import { probePart } from '../../../calc/looks/probe-part.ts';
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

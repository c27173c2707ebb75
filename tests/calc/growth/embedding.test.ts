import { describe, expect, it } from 'vitest';
import { embeddedCoolerC } from '../../../calc/growth/germination-clock.ts';
import { STAGES } from '../../../calc/growth/stages.ts';
import { bedStores } from '../../../calc/schedule/bed-stores.ts';
import { bigSite } from '../../bench/big-site.ts';

describe('embeddedCoolerC', () => {
  // Common practice, no source: dimples of 1/4 to 3/8 inch are 1 to 2 °C cooler.
  it.each([6.35, 9.5])('is between 1 and 2 °C in dimples of %d mm', (depthMm) => {
    expect(embeddedCoolerC(depthMm)).toBeGreaterThanOrEqual(1);
    expect(embeddedCoolerC(depthMm)).toBeLessThanOrEqual(2);
  });

  it('is nothing on an even surface, and refuses a negative depth', () => {
    expect(embeddedCoolerC(0)).toBe(0);
    expect(() => embeddedCoolerC(-1)).toThrow(/must not be negative/);
  });
});

describe('an embedded bed', () => {
  it('holds water a little longer: its seed layer is deeper by the dimples', () => {
    const [bed] = bigSite(1).site.beds;
    if (bed === undefined) throw new Error('the invented site has a bed');
    const noModel = () => {
      throw new Error('the invented bed has stated figures');
    };
    const capacityMm = (embeddingMm: number) =>
      bedStores([{ ...bed, embeddingMm }], STAGES, noModel)
        .get(bed.id)
        ?.capacityMm(10) ?? 0;
    expect(capacityMm(8) / capacityMm(0)).toBeCloseTo(2, 1);
  });
});

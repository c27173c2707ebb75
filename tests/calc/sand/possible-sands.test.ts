import { describe, expect, it } from 'vitest';
import { vanGenuchtenMualem } from '../../../calc/sand/hydraulic-properties.ts';
import { possibleSands } from '../../../calc/sand/possible-sands.ts';
import { wettedCurve } from '../../../calc/sand/retention-curves.ts';
import { sandClass } from '../../../calc/sand/sand-classes.ts';

const standIn = sandClass('medium_over_gravel');
const held = (suctionCm: number) =>
  vanGenuchtenMualem(standIn.bed.sand).waterFraction(-10 * suctionCm);
const porosities = {
  totalPorosityFraction: 0.4,
  capillaryPorosityFraction: held(30),
  saturatedMmPerH: 350,
};
const withCurve = {
  ...porosities,
  releasePoints: [10, 20, 60].map((suctionCm) => ({ suctionCm, waterFraction: held(suctionCm) })),
};

describe('possibleSands', () => {
  it('is the fitted curve of an open sand with a release curve', () => {
    const sands = possibleSands({ report: withCurve, under: 'open' }, standIn);
    expect(sands).toHaveLength(1);
    expect(sands[0]?.n).toBeCloseTo(3, 2);
    expect(sands[0]?.alphaPerCm).toBeCloseTo(0.042, 3);
  });

  it('counts what rises over gravel no higher than wetted sand lifts it', () => {
    const [drained, wetted] = possibleSands({ report: withCurve, under: 'gravel' }, standIn);
    // Kool & Parker 1987: alpha of wetting 1.5 to 2 times that of draining (from memory).
    expect((wetted?.alphaPerCm ?? 0) / (drained?.alphaPerCm ?? 1)).toBeCloseTo(1.75, 10);
    expect(wetted?.n).toBe(drained?.n);
  });

  it.each(['open', 'gravel'] as const)('leaves n open without a release curve, %s', (under) => {
    const sands = possibleSands({ report: porosities, under }, standIn);
    expect(sands.map(({ n }) => n)).toEqual([standIn.lowerN, standIn.upperN]);
    for (const sand of sands) {
      const drained = under === 'gravel' ? wettedCurve(sand, 1 / 1.75) : sand;
      // Each of them holds at 30 cm what the report says.
      expect(vanGenuchtenMualem(drained).waterFraction(-300)).toBeCloseTo(held(30), 10);
    }
  });
});

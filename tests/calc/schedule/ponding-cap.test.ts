import { describe, expect, it } from 'vitest';
import { pondingCapMm } from '../../../calc/schedule/ponding-cap.ts';
import { bigSite } from '../../bench/big-site.ts';

const { beds, stations } = bigSite(1).site;
const [bed] = beds;
if (bed === undefined) throw new Error('the invented site has a bed');
const withSand = (saturatedMmPerH: number, slopePct = 2) => ({
  sand: { ...bed.sand, saturatedMmPerH },
  slopePct,
});

describe('pondingCapMm', () => {
  it('sets no bound on a greens sand: 18 mm/h never outruns 150 mm/h', () => {
    expect(pondingCapMm(withSand(150), stations, true)).toBe(Number.POSITIVE_INFINITY);
  });

  it('ends a dose on slow ground where Mein and Larson see the first free water', () => {
    // K 8, psi x deficit 4.95 mm, i 18: tp = K psi dtheta / (i (i - K)) = 0.22 h, so 3.96 mm.
    expect(pondingCapMm(withSand(16), stations, true)).toBeCloseTo(3.96, 6);
  });

  it('lets hollows fill under cover, less of them on a slope', () => {
    const flat = pondingCapMm(withSand(16, 0.5), stations, false);
    const steep = pondingCapMm(withSand(16, 8), stations, false);
    expect(flat).toBeGreaterThan(steep);
    expect(steep).toBeCloseTo(3.96, 6);
  });
});

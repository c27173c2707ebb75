import { describe, expect, it } from 'vitest';
import { plainStore } from '../../../calc/sand/seedbed-store.ts';
import { pondingCapMm } from '../../../calc/schedule/cycle-block.ts';
import { planDay } from '../../../calc/schedule/plan-day.ts';
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

describe('a plan on slow ground', () => {
  it('gives parts with the bed’s rest between instead of one long dose', () => {
    const input = bigSite(1);
    const limits = { ...input.site.limits, pumpFlowLPerMin: 1000, restMin: 20 };
    const onSand = (saturatedMmPerH: number) => {
      const slow = { ...bed, slopePct: 8, stage: 'knitting' as const };
      const beds = [{ ...slow, sand: { ...bed.sand, saturatedMmPerH } }];
      const stores = new Map([[bed.id, plainStore({ capacityMm: 9, feedMmPerH: 0 })]]);
      const statesNow = new Map([[bed.id, { storeMm: 0.2 }]]);
      return planDay({ ...input, site: { ...input.site, limits, beds }, stores, statesNow })
        .beds[0];
    };
    const fast = onSand(300)?.cycles ?? [];
    const slow = onSand(6)?.cycles ?? [];
    const capMm = pondingCapMm(withSand(6, 8), stations, false);
    expect(Math.max(...fast.map((cycle) => cycle.netMm))).toBeGreaterThan(4);
    for (const cycle of slow) expect(cycle.netMm).toBeLessThanOrEqual(Math.max(capMm, 0.75));
    expect(slow.length).toBeGreaterThan(fast.length);
  });
});

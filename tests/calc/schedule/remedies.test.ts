import { describe, expect, it } from 'vitest';
import { planDay } from '../../../calc/schedule/plan-day.ts';
import type { KeepOff, Limits } from '../../../calc/schedule/site.ts';
import { bigSite } from '../../bench/big-site.ts';

const HOUR_MS = 3_600_000;

/** The invented day of a few beds, with other limits or keep-offs. */
function day(beds: number, change: { limits?: Partial<Limits>; keepOffs?: KeepOff[] }) {
  const input = bigSite(beds);
  return {
    ...input,
    site: {
      ...input.site,
      limits: { ...input.site.limits, pumpFlowLPerMin: 1300, ...change.limits },
    },
    keepOffs: change.keepOffs ?? [],
  };
}

const minutesShort = (plan: ReturnType<typeof planDay>, bedId: string) =>
  plan.shortages
    .filter((one) => one.bedId === bedId)
    .reduce((sum, one) => sum + one.minutesBelowReserve, 0);

describe('what would help where water does not fit', () => {
  it('is named where a pump is too small, and holds when it is done', () => {
    const plan = planDay(day(24, { limits: { pumpFlowLPerMin: 800 } }));
    const helped = plan.shortages.filter((one) => one.remedy?.change.kind === 'stronger_pump');
    expect(helped.length).toBeGreaterThan(0);
    const stronger = planDay(day(24, { limits: { pumpFlowLPerMin: 880 } }));
    for (const { bedId } of helped) {
      expect(minutesShort(stronger, bedId)).toBeLessThan(minutesShort(plan, bedId));
    }
  });

  it('is a keep-off at another hour where that ends the shortage', () => {
    const { dayStartMs } = bigSite(1);
    const visitors = (fromMin: number): KeepOff => ({
      bedId: 'green-1',
      startMs: dayStartMs + 11 * HOUR_MS + fromMin * 60_000,
      endMs: dayStartMs + 12.5 * HOUR_MS + fromMin * 60_000,
      why: 'visitors',
    });
    const plan = planDay(day(1, { keepOffs: [visitors(0)] }));
    const [short] = plan.shortages;
    expect(short?.cause).toEqual({
      kind: 'keep_off',
      off: { why: 'visitors' },
      endMs: visitors(0).endMs,
    });
    const told = short?.remedy?.change.kind;
    const moved = planDay(day(1, { keepOffs: [visitors(told === 'keep_off_earlier' ? -30 : 30)] }));
    const saved = minutesShort(plan, 'green-1') - minutesShort(moved, 'green-1');
    if (told === undefined) expect(saved).toBeLessThan(10);
    else {
      expect(told).toMatch(/^keep_off_(later|earlier)$/);
      expect(saved).toBeGreaterThan(0);
    }
  });

  it('says nothing where all fits', () => {
    const plan = planDay(day(3, {}));
    expect(plan.shortages).toEqual([]);
  });
});

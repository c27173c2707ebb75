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
    const helped = plan.shortages.filter((one) => one.because.includes('a pump 10 % stronger'));
    expect(helped.length).toBeGreaterThan(0);
    for (const { because } of plan.shortages) expect(because).not.toBe('');
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
    const because = plan.shortages.map((one) => one.because);
    expect(because.length).toBeGreaterThan(0);
    expect(because[0]).toMatch(/^visitors keeps water off until 12:30/);
    const said = /moving visitors 30 min (later|earlier) would (end it|save (\d+) min)/.exec(
      because[0] ?? '',
    );
    const moved = planDay(day(1, { keepOffs: [visitors(said?.[1] === 'earlier' ? -30 : 30)] }));
    const saved = minutesShort(plan, 'green-1') - minutesShort(moved, 'green-1');
    if (said === null) expect(saved).toBeLessThan(10);
    else expect(saved).toBeGreaterThan(0);
  });

  it('says nothing where all fits', () => {
    const plan = planDay(day(3, {}));
    expect(plan.shortages).toEqual([]);
  });
});

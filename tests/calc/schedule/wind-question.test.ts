import { describe, expect, it } from 'vitest';
import { planDay } from '../../../calc/schedule/plan-day.ts';
import { bigSite } from '../../bench/big-site.ts';

const HOUR_MS = 3_600_000;

/** An invented day with wind at this speed from 11:00 to 17:00. */
function windyDay(windMPerS: number) {
  const input = bigSite(3);
  const fromMs = input.dayStartMs + 11 * HOUR_MS;
  return {
    ...input,
    site: { ...input.site, limits: { ...input.site.limits, pumpFlowLPerMin: 900 } },
    hours: input.hours.map((hour) =>
      hour.startMs >= fromMs && hour.startMs < fromMs + 6 * HOUR_MS ? { ...hour, windMPerS } : hour,
    ),
  };
}

describe('the question about the wind', () => {
  it('is not asked while the wind stays below the limit', () => {
    const plan = planDay(windyDay(3.9));
    expect(plan.question).toBeUndefined();
    expect(plan.warnings.map((one) => one.code)).not.toContain('wind_question');
  });

  it('names what each answer costs, and the costs are those of real plans', () => {
    const input = windyDay(6.5);
    const plan = planDay(input);
    const { question } = plan;
    if (question === undefined) throw new Error('no question was asked');
    const { runAnyway, skip, shorterAndOftener } = question;
    expect(runAnyway.cycles).toBe(plan.beds.reduce((sum, bed) => sum + bed.cycles.length, 0));
    const lost = plan.beds.flatMap((bed) =>
      bed.cycles.map((cycle) => cycle.grossMm * cycle.driftLossFraction),
    );
    expect(runAnyway.driftMm).toBeCloseTo(
      lost.reduce((sum, mm) => sum + mm, 0),
      6,
    );
    // Six hours without water are longer than any of these seedbeds last.
    expect(skip.minutesBelowDryLimit).toBeGreaterThan(runAnyway.minutesBelowDryLimit + 300);
    expect(skip.driftMm).toBeLessThan(runAnyway.driftMm);
    expect(shorterAndOftener.cycles).toBeGreaterThanOrEqual(runAnyway.cycles);
    const text = plan.warnings.find((one) => one.code === 'wind_question')?.text;
    expect(text).toMatch(/^Wind is above the limit from \d\d:\d\d to \d\d:\d\d/);
    expect(text).toContain(`Skip: ${skip.cycles} cycles`);
  });
});

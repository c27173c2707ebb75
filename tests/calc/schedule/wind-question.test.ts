import { describe, expect, it } from 'vitest';
import { type DayPlan, WIND_CHOICES } from '../../../calc/schedule/day-plan.ts';
import { planDay } from '../../../calc/schedule/plan-day.ts';
import { bigSite } from '../../bench/big-site.ts';
import { toldOf } from '../../reader.ts';

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

const cyclesOf = (plan: DayPlan) => plan.beds.flatMap((bed) => bed.cycles);

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
    const [text] = toldOf(plan, 'wind_question');
    expect(text).toMatch(/^Wind is above the limit from \d\d:\d\d to \d\d:\d\d/);
    expect(text).toContain(`Skip the windy hours: ${skip.cycles} cycles`);
  });
});

describe('an answer to the wind', () => {
  const KEEPER = { who: 'A. Keeper', atMs: Date.parse('2026-07-01T09:00:00Z') };
  const input = windyDay(6.5);
  const asked = planDay(input).question;
  if (asked === undefined) throw new Error('no question was asked');
  const costs = {
    run_anyway: asked.runAnyway,
    skip: asked.skip,
    shorter_and_oftener: asked.shorterAndOftener,
  };

  it.each(WIND_CHOICES)('brings what was told of it: %s', (choice) => {
    const windAnswer = { ...KEEPER, choice };
    const plan = planDay({ ...input, windAnswer });
    const cycles = cyclesOf(plan);
    expect(cycles.length).toBe(costs[choice].cycles);
    expect(cycles.reduce((sum, one) => sum + one.grossMm * one.driftLossFraction, 0)).toBeCloseTo(
      costs[choice].driftMm,
      6,
    );
    const dryMin = plan.beds.reduce((sum, bed) => sum + bed.minutesBelowDryLimit, 0);
    expect(dryMin).toBe(costs[choice].minutesBelowDryLimit);
    // The question stands as it was, answered, with the same costs.
    expect(plan.question).toEqual({ ...asked, answered: windAnswer });
    const told = plan.warnings.filter((one) => /^wind_/.test(one.code));
    expect(told.map((one) => one.code)).toEqual(['wind_answered']);
    const [text] = toldOf(plan, 'wind_answered');
    expect(text).toMatch(/A\. Keeper answered at \d\d:\d\d: /);
    expect(text?.match(/, as planned/g)).toHaveLength(1);
    // A sketch, as previews are made of, has the same cycles.
    const sketch = planDay({ ...input, windAnswer, isSketch: true });
    expect(cyclesOf(sketch)).toEqual(cycles);
    expect(sketch.question).toBeUndefined();
  });

  it('skips: no water runs in the windy hours, and the shortage names the wind', () => {
    const plan = planDay({ ...input, windAnswer: { ...KEEPER, choice: 'skip' } });
    const [fromMs, toMs] = [11, 17].map((h) => input.dayStartMs + h * HOUR_MS) as [number, number];
    expect(cyclesOf(plan).filter((one) => one.endMs > fromMs && one.startMs < toMs)).toEqual([]);
    expect(
      cyclesOf(planDay(input)).some((one) => one.startMs >= fromMs && one.startMs < toMs),
    ).toBe(true);
    const causes = plan.shortages.map(({ cause }) => cause);
    expect(causes.some((one) => one.kind === 'keep_off' && one.off.kind === 'wind')).toBe(true);
    const changes = plan.shortages.map(({ remedy }) => remedy?.change.kind);
    expect(changes.filter((one) => one?.startsWith('keep_off'))).toEqual([]);
  });

  it('is shorter and oftener: single rotations', () => {
    const plan = planDay({ ...input, windAnswer: { ...KEEPER, choice: 'shorter_and_oftener' } });
    expect(cyclesOf(plan).every((one) => one.rotations === 1)).toBe(true);
    expect(cyclesOf(planDay(input)).some((one) => one.rotations > 1)).toBe(true);
  });

  it.each(WIND_CHOICES)('changes nothing on a day that asks nothing: %s', (choice) => {
    const calm = windyDay(3.9);
    expect(planDay({ ...calm, windAnswer: { ...KEEPER, choice } })).toEqual(planDay(calm));
  });

  it('holds water off the beds of an earlier plan of the same day as well', () => {
    const former = cyclesOf(planDay(input)).flatMap(({ startMs, rotations }) =>
      input.site.beds.map((bed) => ({
        bedId: bed.id,
        startMs,
        runs: input.site.stations.map(({ id }) => ({ stationId: id, rotations })),
      })),
    );
    const windAnswer = { ...KEEPER, choice: 'skip' as const };
    const plan = planDay({ ...input, former, windAnswer });
    expect(cyclesOf(plan).length).toBe(plan.question?.skip.cycles);
    const [fromMs, toMs] = [11, 17].map((h) => input.dayStartMs + h * HOUR_MS) as [number, number];
    expect(cyclesOf(plan).filter((one) => one.endMs > fromMs && one.startMs < toMs)).toEqual([]);
  });
});

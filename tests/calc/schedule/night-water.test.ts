import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { StageName } from '../../../calc/growth/stages.ts';
import type { DayPlan } from '../../../calc/schedule/day-plan.ts';
import { type DayPlanInput, planDay } from '../../../calc/schedule/plan-day.ts';
import type { Run } from '../../../calc/schedule/run.ts';
import {
  dayFrame,
  isFirstNight,
  isWindyAllNight,
  type NightWater,
} from '../../../calc/schedule/water-hours.ts';
import { randomDay } from '../../random-site.ts';
import { toldOf } from '../../reader.ts';
import { SMALL_DAY_MS, smallDay } from '../../small-day.ts';

const HOUR_MS = 3_600_000;
const NONE: NightWater = { dryWind: false, firstNight: false, deepRefill: null };
const at = (hour: number) => SMALL_DAY_MS + hour * HOUR_MS;

/** The invented small day planned at an hour, with some of its night dry and windy. */
function day(
  night: Partial<NightWater> | null,
  given: {
    madeHour?: number;
    stages?: [StageName, StageName];
    windyFrom?: number;
    windyTo?: number;
    seededOn?: string;
    /** Rain of each hour from this one to the other, mm. */
    rain?: { fromHour: number; toHour: number; rainMm: number };
  } = {},
): DayPlanInput {
  const { madeHour = 5, windyFrom = 99, windyTo = 99, seededOn = '2026-06-26' } = given;
  const small = smallDay({
    ...(given.stages === undefined ? {} : { stages: given.stages }),
    hour: (hour) => {
      const { fromHour = 99, toHour = 99, rainMm = 0 } = given.rain ?? {};
      if (hour >= windyFrom && hour < windyTo) return { windMPerS: 6, referenceEtMm: 0.25 };
      return hour >= fromHour && hour < toHour ? { rainMm } : {};
    },
  });
  const startMs = at(madeHour);
  const hours = [...(small.hoursBefore ?? []), ...small.hours];
  return {
    ...small,
    site: { ...small.site, beds: small.site.beds.map((bed) => ({ ...bed, seededOn })) },
    madeAtMs: startMs,
    startMs,
    firstRunMs: startMs,
    hours: hours.filter((one) => one.startMs >= startMs),
    hoursBefore: hours.filter((one) => one.startMs < startMs),
    nightWater: night === null ? null : { ...NONE, ...night },
  };
}

const nightOnes = (plan: DayPlan) =>
  plan.beds.flatMap((bed) =>
    bed.cycles.filter((cycle) => cycle.reasons.some((one) => one.code === 'night_water')),
  );
const texts = (plan: DayPlan) => [
  ...toldOf(plan, 'night_water'),
  ...toldOf(plan, 'deep_refill_missed'),
];

describe('no water at night', () => {
  it('stands without exceptions, however windy the night is', () => {
    for (const night of [null, {}]) {
      const plan = planDay(day(night, { windyFrom: 17, windyTo: 40 }));
      expect(nightOnes(plan)).toEqual([]);
      expect(texts(plan)).toEqual([]);
    }
  });

  it('gives way to wind that blows all night and empties the store, after sunset', () => {
    const input = day({ dryWind: true }, { windyFrom: 17, windyTo: 40 });
    const plan = planDay(input);
    const found = nightOnes(plan);
    expect(found.length).toBeGreaterThan(1);
    for (const cycle of found) {
      expect(cycle.startMs).toBeGreaterThanOrEqual(plan.sunsetMs ?? 0);
      expect(cycle.endMs).toBeLessThanOrEqual(plan.endMs);
      expect(cycle.reasons[0]).toEqual({ code: 'night_water', exception: 'dry_wind' });
    }
    expect(texts(plan)[0]).toMatch(/^Water at night on Bed 1 .*: the wind blows all night/);
    const without = planDay(day(null, { windyFrom: 17, windyTo: 40 }));
    const lowest = (of: DayPlan) =>
      Math.min(...of.beds.flatMap((bed) => bed.expectedStore.storeMm));
    expect(lowest(plan)).toBeGreaterThan(lowest(without));
  });

  it('does not for one calm hour in the night', () => {
    const plan = planDay(day({ dryWind: true }, { windyFrom: 17, windyTo: 28 }));
    expect(nightOnes(plan)).toEqual([]);
  });

  it('gives way in the first night after seeding, in that night alone', () => {
    const given = { windyFrom: 17, windyTo: 28 };
    const first = nightOnes(
      planDay(day({ firstNight: true }, { ...given, seededOn: '2026-07-01' })),
    );
    expect(first.length).toBeGreaterThan(0);
    expect(first[0]?.reasons[0]).toEqual({ code: 'night_water', exception: 'first_night' });
    expect(nightOnes(planDay(day({ firstNight: true }, given)))).toEqual([]);
  });

  it('gives way to the deep refill of beds with roots, in its hours', () => {
    const deepRefill = { startMs: at(3), endMs: at(6) };
    const input = day({ deepRefill }, { madeHour: 2, stages: ['germination', 'knitting'] });
    const plan = planDay(input);
    const found = nightOnes(plan);
    expect(found).toHaveLength(1);
    const [refill] = found;
    expect(plan.beds[1]?.cycles).toContain(refill);
    expect(refill?.reasons[0]).toEqual({ code: 'night_water', exception: 'deep_refill' });
    expect(refill?.startMs).toBeGreaterThanOrEqual(deepRefill.startMs);
    expect(refill?.endMs).toBeLessThanOrEqual(deepRefill.endMs);
    // Deep: at least the least dose of the stage, common practice 4 to 8 mm.
    expect(refill?.netMm).toBeGreaterThan(3.5);
    expect(refill?.drainedMm).toBeLessThan(0.02);
  });

  it('leaves out of a deep refill what the rain to come will bring', () => {
    const deepRefill = { startMs: at(3), endMs: at(6) };
    const refilledMm = (rainMm: number) => {
      const rain = { fromHour: 8, toHour: 12, rainMm };
      const input = day({ deepRefill }, { madeHour: 2, stages: ['germination', 'knitting'], rain });
      return nightOnes(planDay(input)).reduce((sum, cycle) => sum + cycle.netMm, 0);
    };
    const dryMm = refilledMm(0);
    expect(dryMm).toBeGreaterThan(3.5);
    // 24 mm fill the bed by themselves; of less, what it leaves is still given.
    expect(refilledMm(6)).toBe(0);
    const amounts = [0.5, 1, 1.5, 2, 2.5].map(refilledMm);
    expect(amounts).toEqual(amounts.toSorted((a, b) => b - a));
    expect(amounts.some((mm) => mm > 0 && mm < dryMm - 1)).toBe(true);
  });

  it('says when the plan was made too late for the deep refill', () => {
    const deepRefill = { startMs: at(3), endMs: at(4.5) };
    const plan = planDay(day({ deepRefill }, { stages: ['germination', 'knitting'] }));
    expect(nightOnes(plan)).toEqual([]);
    expect(texts(plan)).toEqual([
      'The deep refill from 03:00 was over when this plan could first run, at 05:00: set morning.at to an earlier time to have it whole.',
    ]);
    const bare = planDay(day({ deepRefill }, { stages: ['germination', 'tillering'] }));
    expect(texts(bare)).toEqual([]);
  });
});

describe('which night it is', () => {
  it.each([
    ['2026-07-01', 'late', true],
    ['2026-06-30', 'early', true],
    ['2026-07-01', 'early', false],
    ['2026-06-30', 'late', false],
    [null, 'late', false],
  ] as const)('seeded on %s, %s: first is %s', (seededOn, part, is) => {
    expect(isFirstNight(seededOn, '2026-07-01', part)).toBe(is);
  });

  it('is windy when every hour is', () => {
    const part = { startMs: 0, endMs: 4 * HOUR_MS, untilMs: 10 * HOUR_MS };
    expect(isWindyAllNight(part, () => true)).toBe(true);
    expect(isWindyAllNight(part, (ms) => ms < 9.5 * HOUR_MS)).toBe(false);
    expect(isWindyAllNight({ ...part, untilMs: 0 }, () => true)).toBe(false);
  });
});

describe('plans with water at night, on random invented sites', () => {
  const days = fc.sample(randomDay, { seed: 20_260_702, numRuns: 80 }).map((input) => {
    const hours = input.hours.map((hour) =>
      hour.referenceEtMm > 0 ? hour : { ...hour, referenceEtMm: hour.windMPerS / 25 },
    );
    const [dayMs] = [input.dayStartMs];
    const deepRefill = { startMs: dayMs + 3 * HOUR_MS, endMs: dayMs + 6 * HOUR_MS };
    const night = { dryWind: true, firstNight: true, deepRefill };
    const windy: DayPlanInput = { ...input, hours, nightWater: night };
    return [windy, planDay(windy)] as const;
  });
  const endMs = (run: Run) => run.startMs + run.runS * 1000;

  it('keep every limit by night as by day', () => {
    let atNight = 0;
    for (const [{ site, ranBefore, keepOffs }, plan] of days) {
      const { limits } = site;
      atNight += nightOnes(plan).length;
      const flowOf = new Map(site.stations.map((one) => [one.id, one.flowLPerMin]));
      const runs = plan.runs.toSorted((a, b) => a.startMs - b.startMs);
      let stoppedMs = ranBefore?.pumpStoppedMs ?? Number.NEGATIVE_INFINITY;
      let waterL = ranBefore?.dayL ?? 0;
      for (const [index, run] of runs.entries()) {
        const together = runs.filter(
          (other) => other.startMs <= run.startMs && run.startMs < endMs(other),
        );
        const flow = together.reduce((sum, one) => sum + (flowOf.get(one.stationId) ?? 0), 0);
        expect(flow).toBeLessThanOrEqual(limits.pumpFlowLPerMin + 1e-6);
        expect(together.length).toBeLessThanOrEqual(limits.stationsAtOnce);
        const gapMs = run.startMs - (runs[index - 1]?.startMs ?? Number.NEGATIVE_INFINITY);
        expect(gapMs).toBeGreaterThanOrEqual(limits.startGapS * 1000);
        if (run.startMs > stoppedMs) {
          expect(run.startMs - stoppedMs).toBeGreaterThanOrEqual(limits.pumpRestS * 1000);
        }
        stoppedMs = Math.max(stoppedMs, endMs(run));
        waterL += ((flowOf.get(run.stationId) ?? 0) * run.runS) / 60;
        const off = keepOffs.filter(
          (one) => one.bedId === run.bedId && run.startMs < one.endMs && endMs(run) > one.startMs,
        );
        expect(off).toEqual([]);
      }
      expect(waterL).toBeLessThanOrEqual((limits.dayAllowanceL ?? Infinity) + 1e-6);
    }
    expect(atNight).toBeGreaterThan(20);
  });

  it('tell of every cycle outside the hours of the day, in order, with the bed’s rest', () => {
    for (const [input, plan] of days) {
      const { window } = dayFrame(input);
      for (const bed of plan.beds) {
        for (const [index, cycle] of bed.cycles.entries()) {
          const byDay = cycle.startMs >= window.firstStartMs && cycle.endMs <= window.lastEndMs;
          if (!byDay) expect(cycle.reasons[0]?.code).toBe('night_water');
          expect(cycle.endMs).toBeLessThanOrEqual(plan.endMs);
          expect(cycle.startMs).toBeGreaterThanOrEqual(input.firstRunMs);
          const before = bed.cycles[index - 1];
          expect(
            cycle.startMs - (before?.endMs ?? Number.NEGATIVE_INFINITY),
          ).toBeGreaterThanOrEqual(input.site.limits.restMin * 60_000);
        }
      }
    }
  });
});

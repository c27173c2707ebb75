import { describe, expect, it } from 'vitest';
import type { NoticeCode } from '../../../calc/growth/notice.ts';
import type { StageName } from '../../../calc/growth/stages.ts';
import type { DayPlan } from '../../../calc/schedule/day-plan.ts';
import { planDay } from '../../../calc/schedule/plan-day.ts';
import { dayFrame } from '../../../calc/schedule/water-hours.ts';
import { saturationKPa } from '../../../calc/sky/air.ts';
import { SMALL_DAY_MS, smallDay } from '../../small-day.ts';

const HOUR_MS = 3_600_000;
const at = (hour: number) => SMALL_DAY_MS + hour * HOUR_MS;

function notices(plan: DayPlan, code: NoticeCode) {
  return plan.notices.filter((notice) => notice.code === code);
}

describe('planNotices', () => {
  it('raises nothing on a mild day that is watered as it loses', () => {
    const plan = planDay(smallDay({}));
    expect(plan.beds.every((bed) => bed.cycles.length > 2)).toBe(true);
    expect(plan.notices).toEqual([]);
  });

  it('tells of wind in the hours of water only, against the site’s own limit', () => {
    const windy = planDay(smallDay({ hour: (hour) => (hour === 14 ? { windMPerS: 7 } : {}) }));
    expect(notices(windy, 'wind')).toMatchObject([
      { severity: 'warn', bedIds: [], fromMs: at(14), toMs: at(15), inputs: { hurtMPerS: 4 } },
    ]);
    const night = planDay(smallDay({ hour: (hour) => (hour === 22 ? { windMPerS: 7 } : {}) }));
    expect(notices(night, 'wind')).toEqual([]);
  });

  it('tells of frost until tomorrow’s first water, and keeps cycles out of it', () => {
    const cold = (hour: number) =>
      hour >= 8 && hour < 10 ? { airTempC: 1.5, vapourPressureKPa: 0.5 } : {};
    const plan = planDay(smallDay({ hour: cold }));
    expect(notices(plan, 'frost')).toMatchObject([{ fromMs: at(8), toMs: at(10) }]);
    expect(plan.runs.length).toBeGreaterThan(4);
    const inFrost = plan.runs.filter(
      (run) => run.startMs < at(10) && run.startMs + run.runS * 1000 > at(8),
    );
    expect(inFrost).toEqual([]);
    const mild = planDay({ ...smallDay({ hour: cold }), frostLimitC: 0 });
    expect(notices(mild, 'frost')).toEqual([]);
    expect(mild.runs.some((run) => run.startMs >= at(8) && run.startMs < at(10))).toBe(true);
  });

  it('tells of Pythium weather from yesterday’s noon on, as far as the hours reach', () => {
    const humid = (hour: number) => {
      const airTempC = hour >= 10 && hour < 16 ? 32 : 24;
      return { airTempC, vapourPressureKPa: 0.95 * saturationKPa(airTempC) };
    };
    const plan = planDay(smallDay({ hour: humid }));
    const [strict] = notices(plan, 'pythium_14_hours');
    expect(strict?.inputs['humidHours']).toBeGreaterThanOrEqual(14);
    const bare = planDay({ ...smallDay({ hour: humid }), hoursBefore: [] });
    // The coming night is in the hours either way.
    expect(notices(bare, 'pythium_14_hours').map((one) => one.fromMs)).toEqual([at(12)]);
  });

  it('tells bare and covered beds of heat by what each feels', () => {
    const hot = (hour: number) =>
      hour >= 11 && hour < 17 ? { airTempC: 38, vapourPressureKPa: 1.2 } : {};
    const all = notices(
      planDay(smallDay({ stages: ['germination', 'tillering'], hour: hot })),
      'heat',
    );
    const ofCovered = all.find((one) => one.bedIds.includes('bed-2'));
    expect(ofCovered).toMatchObject({ bedIds: ['bed-2'], inputs: { measure: 'air', peakC: 38 } });
    // The bare bed is wet in that air: its surface stays cooler than the air.
    const ofBare = all.find((one) => one.bedIds.includes('bed-1'));
    expect(Number(ofBare?.inputs['peakC'] ?? 0)).toBeLessThan(38);
  });

  it('takes a bed’s surface for dry where its store runs out', () => {
    const hot = {
      hour: () => ({ airTempC: 30, solarMjPerM2: 2.9, windMPerS: 1, referenceEtMm: 0.7 }),
    };
    const input = smallDay({ capacityMm: 0.4, ...hot });
    const keepOffs = [{ bedId: 'bed-1', startMs: at(8), endMs: at(18), why: 'visitors' }];
    const dry = notices(planDay({ ...input, keepOffs }), 'heat').find((one) =>
      one.bedIds.includes('bed-1'),
    );
    expect(dry?.severity).toBe('danger');
    expect(dry?.bedIds).toEqual(['bed-1']);
  });

  it('tells of a bed that gets too little, and of one that gets too much', () => {
    const input = smallDay({});
    const keepOffs = [{ bedId: 'bed-1', startMs: at(7), endMs: at(19), why: 'visitors' }];
    const little = planDay({ ...input, keepOffs });
    expect(notices(little, 'too_little_water')).toMatchObject([{ bedIds: ['bed-1'] }]);
    // One rotation of 0.6 mm on a seedbed that holds 0.2 mm.
    const much = planDay(smallDay({ capacityMm: 0.2 }));
    expect(notices(much, 'too_much_water').map((one) => one.bedIds)).toEqual([
      ['bed-1'],
      ['bed-2'],
    ]);
  });

  it('counts heavy rain against the room of each seedbed', () => {
    const rain = (hour: number) => (hour === 13 ? { rainMm: 12 } : {});
    const plan = planDay(smallDay({ stages: ['germination', 'knitting'], hour: rain }));
    expect(notices(plan, 'heavy_rain')).toMatchObject([{ bedIds: ['bed-1'], severity: 'warn' }]);
  });

  it('speaks of the water itself where something is known of it', () => {
    const water = {
      salinityDSPerM: 1.4,
      permitted: [{ startMs: at(22), endMs: at(30) }],
    };
    const plan = planDay({ ...smallDay({}), water });
    expect(notices(plan, 'irrigation_salinity')).toMatchObject([{ severity: 'warn' }]);
    expect(notices(plan, 'reclaimed_water')).toMatchObject([{ severity: 'danger' }]);
    expect(plan.notices[0]?.code).toBe('reclaimed_water');
    expect(notices(plan, 'irrigation_salinity')).toMatchObject([
      { fromMs: plan.startMs, toMs: plan.endMs },
    ]);
    const outside = plan.beds.flatMap((bed) => bed.cycles);
    expect(notices(plan, 'reclaimed_water')).toMatchObject([
      {
        fromMs: Math.min(...outside.map((cycle) => cycle.startMs)),
        toMs: Math.max(...outside.map((cycle) => cycle.endMs)),
      },
    ]);
  });

  it('is silent on water without a fault, and on what nobody measured', () => {
    const whole = [{ startMs: at(0), endMs: at(48) }];
    const clean = planDay({ ...smallDay({}), water: { salinityDSPerM: 0.3, permitted: whole } });
    expect(clean.notices).toEqual([]);
    const unknown = planDay({ ...smallDay({}), water: { salinityDSPerM: null, permitted: null } });
    expect(unknown.notices).toEqual([]);
  });

  it('takes the water for worse while seed comes up on any bed', () => {
    const severityOf = (...stages: [StageName, StageName]) =>
      notices(
        planDay({ ...smallDay({ stages }), water: { salinityDSPerM: 1.4, permitted: null } }),
        'irrigation_salinity',
      )[0]?.severity;
    expect(severityOf('knitting', 'emergence')).toBe('warn');
    expect(severityOf('tillering', 'knitting')).toBe('note');
  });

  it('speaks of a bed’s water over the day that it lies in', () => {
    const keepOffs = [{ bedId: 'bed-1', startMs: at(7), endMs: at(19), why: 'visitors' }];
    const input = { ...smallDay({}), keepOffs };
    const plan = planDay(input);
    const { nextFirstStartMs } = dayFrame(input).window;
    // The loss is reckoned until the next day's first water, to the end of its hour.
    expect(notices(plan, 'too_little_water')).toMatchObject([
      { fromMs: plan.startMs, toMs: Math.ceil(nextFirstStartMs / HOUR_MS) * HOUR_MS },
    ]);
  });

  it('reads worst first, and of one severity the earlier first', () => {
    const hour = (hour: number) => ({
      ...(hour === 14 ? { windMPerS: 7 } : {}),
      ...(hour === 8 ? { airTempC: 1.5, vapourPressureKPa: 0.5 } : {}),
    });
    const water = { salinityDSPerM: 0.9, permitted: [{ startMs: at(22), endMs: at(30) }] };
    const plan = planDay({ ...smallDay({ stages: ['knitting', 'tillering'], hour }), water });
    expect(plan.notices.map((notice) => [notice.severity, notice.code])).toEqual([
      ['danger', 'reclaimed_water'],
      ['warn', 'frost'],
      ['warn', 'wind'],
      ['note', 'irrigation_salinity'],
    ]);
    const windFirst = (hour: number) => ({
      ...(hour === 8 ? { windMPerS: 7 } : {}),
      ...(hour === 15 ? { airTempC: 1.5, vapourPressureKPa: 0.5 } : {}),
    });
    const turned = planDay(smallDay({ stages: ['knitting', 'tillering'], hour: windFirst }));
    expect(turned.notices.map((notice) => notice.code)).toEqual(['wind', 'frost']);
  });
});

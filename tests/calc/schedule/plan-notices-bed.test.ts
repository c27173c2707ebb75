import { describe, expect, it } from 'vitest';
import { WATER_LIMITS } from '../../../calc/growth/hazards/water-notices.ts';
import { STAGES } from '../../../calc/growth/stages.ts';
import type { BedPlan } from '../../../calc/schedule/day-plan.ts';
import { planNotices } from '../../../calc/schedule/plan-notices.ts';
import type { EtHour } from '../../../calc/sky/weather-hour.ts';
import { examplePlan } from '../../example-plan.ts';
import { SMALL_DAY_MS, smallDay } from '../../small-day.ts';

const at = (hour: number) => SMALL_DAY_MS + hour * 3_600_000;

/** The notices of an invented day for one bed, which has what it loses. */
function told(
  change: Partial<BedPlan> = {},
  hour: (hour: number) => Partial<EtHour> = () => ({}),
  window: [number, number, number] = [6, 18, 30],
) {
  const [base] = examplePlan().beds;
  if (base === undefined) throw new Error('no bed');
  const bed: BedPlan = {
    ...base,
    stage: 'germination',
    lossMm: 2,
    netMm: 2,
    capacityMm: 1,
    storeNowMm: 0.4,
    minutesBelowDryLimit: 0,
    expectedStore: { startMs: at(5), stepMin: 60, storeMm: Array.from({ length: 25 }, () => 0.9) },
    ...change,
  };
  const { site, hours } = smallDay({ hour });
  const [firstH, lastH, nextH] = window;
  return planNotices({
    site,
    stages: STAGES,
    beds: [bed],
    hours,
    hoursBefore: [],
    startMs: at(5),
    endMs: at(24),
    noonMs: at(13),
    frostLimitC: 2,
    window: { firstStartMs: at(firstH), lastEndMs: at(lastH), nextFirstStartMs: at(nextH) },
    water: null,
  });
}
const codes = (...given: Parameters<typeof told>) => told(...given).map(({ code }) => code);

describe('a bed’s water against its loss', () => {
  it('is too little only where the bed gets dry for it', () => {
    expect(codes()).toEqual([]);
    expect(codes({ netMm: 1, lossMm: 4 })).toEqual([]);
    expect(codes({ netMm: 1, lossMm: 4, minutesBelowDryLimit: 5 })).toEqual(['too_little_water']);
  });

  it('is too much where it passes by far what fills the store and is lost', () => {
    const much = (storeNowMm: number, netMm: number) => codes({ storeNowMm, netMm });
    const overMm = (2 * WATER_LIMITS.muchPct) / 100;
    // Six tenths of the millimetre that it holds go into the store.
    expect(much(0.4, overMm + 0.1)).toEqual([]);
    expect(much(1, overMm + 0.1)).toEqual(['too_much_water']);
    expect(much(0.95, overMm + 0.1)).toEqual(['too_much_water']);
    expect(much(0.85, overMm + 0.1)).toEqual([]);
    expect(much(1.5, overMm + 0.1)).toEqual(['too_much_water']);
    expect(much(-3, overMm + 0.9)).toEqual([]);
    const farMm = (2 * WATER_LIMITS.farTooMuchPct) / 100;
    expect(codes({ netMm: farMm + 0.1, capacityMm: 99 })).toEqual(['too_much_water']);
    expect(codes({ netMm: 0, lossMm: 0 })).toEqual([]);
    expect(codes({ netMm: 2, lossMm: -1 })).toEqual(['too_much_water']);
  });

  it('is told from the begin of its curve to the end of the hours up to tomorrow’s first water', () => {
    const [notice] = told({ netMm: 1, lossMm: 4, minutesBelowDryLimit: 5 });
    expect(notice).toMatchObject({ bedIds: ['bed-1'], fromMs: at(5), toMs: at(30) });
    const [later] = told(
      { netMm: 1, lossMm: 4, minutesBelowDryLimit: 5 },
      undefined,
      [6, 18, 30.5],
    );
    expect(later?.toMs).toBe(at(31));
  });
});

describe('heavy rain on a bed', () => {
  it('meets the room that the bed has as the first rain begins, however little that is', () => {
    // 0.2 mm at eight, 9 mm at one; room of 0.7 mm at eight and of 0.1 mm from nine on.
    const rain = (hour: number) =>
      hour === 8 ? { rainMm: 0.2 } : hour === 13 ? { rainMm: 9 } : {};
    const storeMm = Array.from({ length: 25 }, (_, step) => (step <= 3 ? 0.3 : 0.9));
    const expectedStore = { startMs: at(5), stepMin: 60, storeMm };
    const [notice] = told({ expectedStore }, rain).filter(({ code }) => code === 'heavy_rain');
    expect(notice?.inputs['roomMm']).toBeCloseTo(0.7, 9);
    expect(notice?.inputs['beyondRoomMm']).toBeCloseTo(8.5, 9);
    expect(codes({ stage: 'first_mow' }, rain)).not.toContain('heavy_rain');
    expect(codes({ stage: 'tillering' }, rain)).toContain('heavy_rain');
  });
});

describe('the hours that a notice looks at', () => {
  const windy = (windyHour: number, window?: [number, number, number]) =>
    codes({}, (hour) => (hour === windyHour ? { windMPerS: 7 } : {}), window);
  const cold = (coldHour: number, window?: [number, number, number]) =>
    codes(
      {},
      (hour) => (hour === coldHour ? { airTempC: 1.5, vapourPressureKPa: 0.5 } : {}),
      window,
    );

  it('are those of water for the wind', () => {
    expect([5, 6, 17, 18].map((hour) => windy(hour))).toEqual([[], ['wind'], ['wind'], []]);
    expect(windy(6, [6.5, 18, 30])).toEqual(['wind']);
    expect(windy(18, [6, 18.5, 30])).toEqual(['wind']);
    expect(windy(5, [4, 18, 30])).toEqual(['wind']);
  });

  it('are those until tomorrow’s first water for the frost', () => {
    expect([29, 30].map((hour) => cold(hour))).toEqual([['frost'], []]);
    expect(cold(30, [6, 18, 30.5])).toEqual(['frost']);
  });
});

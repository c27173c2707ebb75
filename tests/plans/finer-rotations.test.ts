import { describe, expect, it } from 'vitest';
import { type DayPlanInput, planDay } from '../../calc/schedule/plan-day.ts';
import { inventedDay } from './invented-day.ts';

/** Days on which deep doses of slow heads once carried a bed further, then days that were not picked. */
const SEEDS = [3033, 3043, 3047, 3068, 3132, 3236, 3388].concat(
  Array.from({ length: 12 }, (_, index) => 3401 + index),
);

const ONE = { leastBeds: 1, mostBeds: 1 };

function slower(day: DayPlanInput, times: number): DayPlanInput {
  const stations = day.site.stations.map((one) => ({ ...one, rotationS: times * one.rotationS }));
  return { ...day, site: { ...day.site, stations } };
}

function dryMinutes(day: DayPlanInput): number {
  const { beds } = planDay({ ...day, isSketch: true });
  return beds.reduce((sum, bed) => sum + bed.minutesBelowDryLimit, 0);
}

/** Whether a single turn brings more than a dose may, in calm air: a faster head is never let do so. */
function passesCap({ site, stages }: DayPlanInput): boolean {
  return site.stations.some(({ rotationS, precipitationRateMmPerH, runTimeMultiplierFraction }) => {
    const turnMm = (rotationS * precipitationRateMmPerH) / 3600 / runTimeMultiplierFraction;
    const bed = site.beds[0];
    return bed !== undefined && turnMm > stages[bed.stage].doseCapMm;
  });
}

describe('heads that turn faster', () => {
  it.each([2, 4])('leave no bed drier than heads that turn %i times as slowly', (times) => {
    const drier = SEEDS.flatMap((seed) => {
      const fine = inventedDay(seed, ONE);
      const coarse = slower(fine, times);
      if (passesCap(coarse)) return [];
      const [fineMin, coarseMin] = [dryMinutes(fine), dryMinutes(coarse)];
      return fineMin > coarseMin ? [{ seed, fineMin, coarseMin }] : [];
    });
    expect(drier).toEqual([]);
  });

  it('give up a few dry minutes where a slow head would flood the bed for them', () => {
    const day = inventedDay(3247, ONE);
    const [fine, coarse] = [day, slower(day, 4)].map(
      (one) => planDay({ ...one, isSketch: true }).beds[0],
    );
    if (fine === undefined || coarse === undefined) throw new Error('the day has a bed');
    expect(fine.minutesBelowDryLimit - coarse.minutesBelowDryLimit).toBe(5);
    // Less than the three minutes a millimetre that are worth it.
    expect(coarse.drainedMm - fine.drainedMm).toBeGreaterThan(5 / 3);
  });
});

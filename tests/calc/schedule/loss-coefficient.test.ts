import { describe, expect, it } from 'vitest';
import { STAGES, type Stage, stageCoefficient } from '../../../calc/growth/stages.ts';
import { lossCoefficient } from '../../../calc/schedule/demand.ts';
import { smallDay } from '../../small-day.ts';

const [hour] = smallDay({}).hours;
if (hour === undefined) throw new Error('the small day has hours');

/** Hours of one air: 20 °C, at which water boils off at 2.338 kPa (FAO-56, Annex 2, Table 2.3). */
const air = (count: number, change: Partial<typeof hour>) =>
  Array.from({ length: count }, (_, index) => ({
    ...hour,
    startMs: hour.startMs + index * 3_600_000,
    ...{ airTempC: 20, vapourPressureKPa: 1.169, windMPerS: 3, referenceEtMm: 0.25 },
    ...change,
  }));

describe('the loss of a bed against the reference', () => {
  /** Watered every other day, so that the bare part dries by what a day asks for. */
  const stage: Stage = { ...STAGES.tillering, cyclesPerDay: [0.5, 0.5], coverFraction: 0.4 };
  const like = (referenceEtMm: number, change: { windMPerS?: number; humidity?: number } = {}) =>
    stageCoefficient(stage, {
      windMPerS: change.windMPerS ?? 3,
      leastHumidityPct: change.humidity ?? 50,
      referenceEtMm,
    });

  it('goes by the mean day, the mean wind and the driest air of its hours', () => {
    expect(lossCoefficient(stage, air(24, {}))).toBeCloseTo(like(6), 3);
    expect(lossCoefficient(stage, air(48, {}))).toBeCloseTo(like(6), 3);
    const uneven = [...air(12, { windMPerS: 1 }), ...air(12, { windMPerS: 6 })];
    expect(lossCoefficient(stage, uneven)).toBeCloseTo(like(6, { windMPerS: 3.5 }), 3);
    const dry = [...air(23, {}), ...air(1, { vapourPressureKPa: 0.4676 })];
    expect(lossCoefficient(stage, dry)).toBeCloseTo(like(6, { humidity: 20 }), 3);
    // Fog is no wetter than air can be.
    expect(lossCoefficient(stage, air(24, { vapourPressureKPa: 3 }))).toBeCloseTo(
      like(6, { humidity: 100 }),
      3,
    );
  });

  it('takes what is left of a day for what it is, and dew for no loss', () => {
    expect(lossCoefficient(stage, air(12, { referenceEtMm: 0.5 }))).toBeCloseTo(like(6), 3);
    expect(lossCoefficient(stage, air(24, { referenceEtMm: -0.01 }))).toBeCloseTo(like(0), 3);
    expect(like(6)).toBeLessThan(like(5) - 0.005);
  });
});

import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { STAGE_NAMES, STAGES, stageCoefficient } from '../../../calc/growth/stages.ts';

const calm = { windMPerS: 2, leastHumidityPct: 45, referenceEtMm: 5 };

describe('stageCoefficient', () => {
  it('is that of wet soil while the bed is bare: 1.1 (FAO-56, p. 144)', () => {
    expect(stageCoefficient(STAGES.germination, calm)).toBe(1.1);
  });

  it('gives the wet part its evaporation by Eq. 71 while several cycles a day keep it wet', () => {
    // Emergence: Kcb 0.8 x 0.25 = 0.2, Kc max 1.1 in this air, few 0.75: Ke = min(0.9, 0.825).
    expect(stageCoefficient(STAGES.emergence, calm)).toBeCloseTo(0.2 + 0.825, 9);
  });

  it('falls from stage to stage as cover closes', () => {
    const values = STAGE_NAMES.map((name) => stageCoefficient(STAGES[name], calm));
    expect(values).toEqual(values.toSorted((a, b) => b - a));
    expect(values.at(-1)).toBeGreaterThan(0.7);
  });

  it('counts less from the bare part when it is wetted more seldom', () => {
    const daily = stageCoefficient({ ...STAGES.tillering, cyclesPerDay: [1, 1] }, calm);
    const seldom = stageCoefficient({ ...STAGES.tillering, cyclesPerDay: [0.25, 0.25] }, calm);
    expect(seldom).toBeLessThan(daily);
  });

  it('stays between transpiration alone and the wet surface for any air', () => {
    fc.assert(
      fc.property(
        fc.constantFrom(...STAGE_NAMES),
        fc.double({ min: 0, max: 20, noNaN: true }),
        fc.double({ min: 0, max: 100, noNaN: true }),
        fc.double({ min: 0, max: 15, noNaN: true }),
        (name, windMPerS, leastHumidityPct, referenceEtMm) => {
          const stage = STAGES[name];
          const value = stageCoefficient(stage, { windMPerS, leastHumidityPct, referenceEtMm });
          expect(value).toBeGreaterThanOrEqual(0.8 * stage.coverFraction);
          expect(value).toBeLessThanOrEqual(1.2);
        },
      ),
      { seed: 5, numRuns: 300 },
    );
  });
});

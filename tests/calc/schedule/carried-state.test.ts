import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { modelStore } from '../../../calc/sand/model-store.ts';
import { sandClassModels } from '../../../calc/sand/sand-class-models.ts';
import { plainStore } from '../../../calc/sand/seedbed-store.ts';
import { carriedState, fits } from '../../../calc/schedule/bed-stores.ts';
import { surfaceOfHourC } from '../../../calc/schedule/plan-weather.ts';

const thin = plainStore({ capacityMm: 1, feedMmPerH: 0 });
const deep = plainStore({ capacityMm: 4, feedMmPerH: 0 });
const [known] = Object.values(sandClassModels);
if (known === undefined) throw new Error('there are sand classes');
const layered = modelStore(known.model);

describe('carriedState', () => {
  it('leaves the same part of the capacity, never below dry and never above full', () => {
    const carried = (storeMm: number) => carriedState({ storeMm }, thin, deep)?.['storeMm'];
    expect([-0.3, 0, 0.25, 1, 1.2].map(carried)).toEqual([0, 0, 1, 4, 4]);
  });

  it('hands a layered store over to a plain one and back', () => {
    expect(carriedState(layered.full, layered, deep)).toEqual({ storeMm: 4 });
    const back = carriedState({ storeMm: 2 }, deep, layered);
    expect(back).not.toBeNull();
    expect(layered.marginMm(back ?? {}, 0.5)).toBeGreaterThan(0);
    expect(layered.marginMm(back ?? {}, 0.5)).toBeLessThan(layered.marginMm(layered.full, 0.5));
  });

  it('leaves the layers of a sand as they are, whatever roots reach of them', () => {
    const state = { seedMm: 0.3, belowMm: 2, rootMm: 15 };
    expect(carriedState(state, layered, modelStore(known.model, 38))).toEqual(state);
    expect(carriedState(state, modelStore(known.model, 60), layered)).toEqual(state);
  });

  it('grows with what was left', () => {
    fc.assert(
      fc.property(
        fc.tuple(
          fc.double({ min: -1, max: 1, noNaN: true }),
          fc.double({ min: 0, max: 1, noNaN: true }),
        ),
        ([storeMm, moreMm]) => {
          const less = carriedState({ storeMm }, thin, deep)?.['storeMm'] ?? Number.NaN;
          const more =
            carriedState({ storeMm: storeMm + moreMm }, thin, deep)?.['storeMm'] ?? Number.NaN;
          expect(more).toBeGreaterThanOrEqual(less);
        },
      ),
      { seed: 7, numRuns: 100 },
    );
  });

  it('knows nothing of a state that belongs to another sand', () => {
    expect(carriedState(layered.full, thin, deep)).toBeNull();
    expect(fits({ storeMm: 1 }, thin)).toBe(true);
    expect(fits({ storeMm: 1 }, layered)).toBe(false);
  });
});

describe('surfaceOfHourC', () => {
  it('bears a station’s bone-dry or impossible hour', () => {
    const hour = {
      startMs: 0,
      origin: 'observed' as const,
      airTempC: 30,
      vapourPressureKPa: 0,
      windMPerS: 75,
      solarMjPerM2: 3,
      rainMm: 0,
      filled: [],
    };
    const wet = surfaceOfHourC({ hour, wetnessFraction: 1, elevationM: 0 });
    expect(wet).toBeGreaterThan(0);
    expect(wet).toBeLessThan(surfaceOfHourC({ hour, wetnessFraction: 0, elevationM: 0 }));
  });
});

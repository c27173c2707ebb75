import { describe, expect, it } from 'vitest';
import { correctedState } from '../../../calc/looks/corrected-state.ts';
import { leftFraction } from '../../../calc/looks/expect-look.ts';
import { LIGHTENING_FRACTION, type Surface } from '../../../calc/looks/seen.ts';
import { modelStore } from '../../../calc/sand/model-store.ts';
import { plainStore } from '../../../calc/sand/plain-store.ts';
import { sandClassModels } from '../../../calc/sand/sand-class-models.ts';
import { scaledStore } from '../../../calc/sand/scaled-store.ts';

const medium = sandClassModels['medium_open'];
if (medium === undefined) throw new Error('the sand classes have changed their names');
const stores = {
  plain: plainStore({ capacityMm: 2, feedMmPerH: 0 }),
  model: modelStore(medium.model),
  scaled: scaledStore(modelStore(medium.model), 1.4),
};
const DEMAND_MM_PER_H = 0.5;

describe.each(Object.entries(stores))('a look at a bed on the %s store', (_, store) => {
  const momentAt = (part: number) => ({
    store,
    state: store.stateAt(part, DEMAND_MM_PER_H),
    demandMmPerH: DEMAND_MM_PER_H,
  });
  const leftAfter = (part: number, surface: Surface) => {
    const moment = momentAt(part);
    return leftFraction({ ...moment, state: correctedState(moment, { surface, probe: null }) });
  };

  it('moves the store into the band that was seen', () => {
    expect(leftAfter(1, 'dry')).toBeCloseTo(0, 2);
    expect(leftAfter(1, 'lightening')).toBeCloseTo(LIGHTENING_FRACTION / 2, 2);
    expect(leftAfter(0, 'dark')).toBeCloseTo(LIGHTENING_FRACTION, 2);
    expect(leftAfter(0, 'lightening')).toBeCloseTo(LIGHTENING_FRACTION / 2, 2);
  });

  it('leaves it alone where it was expected so, and after a wash', () => {
    const high = momentAt(0.9);
    expect(correctedState(high, { surface: 'dark', probe: null })).toBe(high.state);
    expect(correctedState(high, { surface: 'wash', probe: null })).toBe(high.state);
  });

  it('fills it under a puddle', () => {
    expect(correctedState(momentAt(0.2), { surface: 'puddle', probe: null })).toEqual(store.full);
  });

  it('draws it towards a probe by its weight, and lets the eye have the last word', () => {
    const moment = momentAt(0.9);
    const before = leftFraction(moment);
    const probe = { leftFraction: before - 0.4, weightFraction: 0.5 };
    const state = correctedState(moment, { surface: null, probe });
    expect(leftFraction({ ...moment, state })).toBeCloseTo(before - 0.2, 2);
    const seen = correctedState(moment, { surface: 'dry', probe });
    expect(leftFraction({ ...moment, state: seen })).toBeCloseTo(0, 2);
  });
});

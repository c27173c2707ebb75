import { describe, expect, it } from 'vitest';
import { libraryStore, statesOfMembers } from '../../../calc/futures/sand-members.ts';
import { leftFraction } from '../../../calc/looks/expected-look.ts';
import {
  correctedState,
  LOWER_EYE_FRACTION,
  type Surface,
  UPPER_EYE_FRACTION,
} from '../../../calc/looks/look-evidence.ts';
import { modelStore } from '../../../calc/sand/model-store.ts';
import { sandClassModels } from '../../../calc/sand/sand-class-models.ts';
import { plainStore, type StoreState } from '../../../calc/sand/seedbed-store.ts';

const medium = sandClassModels['medium_open'];
if (medium === undefined) throw new Error('the sand classes have changed their names');
const stores = {
  plain: plainStore({ capacityMm: 2, feedMmPerH: 0 }),
  model: modelStore(medium.model),
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

  it('lowers the store as far as any eye may have meant', () => {
    expect(leftAfter(1, 'dry')).toBeCloseTo(0, 2);
    expect(leftAfter(1, 'lightening')).toBeCloseTo(0, 2);
    // Also where an eye of another threshold would have seen nothing new.
    const between = (LOWER_EYE_FRACTION + UPPER_EYE_FRACTION) / 2;
    expect(leftAfter(between, 'lightening')).toBeCloseTo(0, 2);
  });

  it('moves no part of the store the other way', () => {
    for (const [part, surface] of [
      [0.9, 'dry'],
      [0.4, 'lightening'],
    ] as const) {
      const moment = momentAt(part);
      // The sand below has dried out further than at the dry limit.
      const state = { ...moment.state, rootMm: 0, belowMm: 0 };
      const after = correctedState({ ...moment, state }, { surface, probe: null });
      for (const [name, mm] of Object.entries(after)) {
        expect(mm).toBeLessThanOrEqual(state[name as keyof typeof state] ?? 0);
      }
    }
  });

  it.each<Surface>(['dark', 'puddle'])(
    'raises it no further than every eye is sure of: %s',
    (surface) => {
      expect(leftAfter(-0.05, surface)).toBeCloseTo(LOWER_EYE_FRACTION, 2);
      for (const part of [0.2, 0.4, 0.9]) {
        const moment = momentAt(part);
        expect(correctedState(moment, { surface, probe: null })).toBe(moment.state);
      }
    },
  );

  it('raises no bed above its dry limit that was seen no better than lightening', () => {
    expect(leftAfter(-0.05, 'lightening')).toBeLessThan(0.01);
    expect(leftAfter(-0.05, 'dry')).toBeLessThan(0);
  });

  it('does not let a bed that was seen dry before dawn be moist again by itself at noon', () => {
    const dawn = { ...momentAt(1), demandMmPerH: 0.01 };
    let state = correctedState(dawn, { surface: 'dry', probe: null });
    for (let step = 0; step < 48; step++) {
      state = store.step(state, { waterMm: 0, demandMm: 0.005 / 12, hours: 1 / 12 }).state;
    }
    const left = leftFraction({ store, state, demandMmPerH: DEMAND_MM_PER_H });
    expect(left).toBeLessThan(LOWER_EYE_FRACTION);
  });

  it('leaves it alone after a wash', () => {
    const high = momentAt(0.9);
    expect(correctedState(high, { surface: 'wash', probe: null })).toBe(high.state);
  });

  it('draws it down towards a probe by its weight, never up, and lets the eye have the last word', () => {
    const moment = momentAt(0.9);
    const before = leftFraction(moment);
    const probe = { leftFraction: before - 0.4, weightFraction: 0.5 };
    const state = correctedState(moment, { surface: null, probe });
    expect(leftFraction({ ...moment, state })).toBeCloseTo(before - 0.2, 2);
    const seen = correctedState(moment, { surface: 'dry', probe });
    expect(leftFraction({ ...moment, state: seen })).toBeCloseTo(0, 2);
    const wet = { leftFraction: 1.5, weightFraction: 0.6 };
    const low = momentAt(0.1);
    expect(correctedState(low, { surface: null, probe: wet })).toBe(low.state);
  });
});

describe('a look at a bed whose sand may be any of several', () => {
  const members = [
    { store: stores.plain, weightFraction: 0.6, lossFactor: 1, nightFraction: 0 },
    { store: stores.model, weightFraction: 0.4, lossFactor: 1.3, nightFraction: 0.5 },
  ];
  const store = libraryStore(members);
  const momentAt = (part: number) => ({
    store,
    state: store.stateAt(part, DEMAND_MM_PER_H),
    demandMmPerH: DEMAND_MM_PER_H,
  });
  const leftOf = (state: StoreState) =>
    statesOfMembers(state, members).map((own, index) => {
      const { lossFactor = 1, store: ownStore = store } = members[index] ?? {};
      return leftFraction({
        store: ownStore,
        state: own,
        demandMmPerH: lossFactor * DEMAND_MM_PER_H,
      });
    });

  it('sets each one’s own state right at its own loss', () => {
    const dry = leftOf(correctedState(momentAt(1), { surface: 'dry', probe: null }));
    for (const left of dry) expect(left).toBeCloseTo(0, 2);
    const dark = leftOf(correctedState(momentAt(-0.05), { surface: 'dark', probe: null }));
    for (const left of dark) expect(left).toBeCloseTo(LOWER_EYE_FRACTION, 2);
    const moment = momentAt(0.9);
    expect(correctedState(moment, { surface: 'dark', probe: null })).toBe(moment.state);
  });

  it('takes a reading for what it says in each one’s own sand', () => {
    const moment = momentAt(0.9);
    const [first = 0, second = 0] = leftOf(moment.state);
    const probe = { leftFraction: 0.2, weightFraction: 0.5, readFractions: [first - 0.4, 1.5] };
    const after = leftOf(correctedState(moment, { surface: null, probe }));
    expect(after[0]).toBeCloseTo(first - 0.2, 2);
    expect(after[1]).toBe(second);
  });
});

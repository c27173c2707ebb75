import { entryOf } from '../checked-entry.ts';
import {
  partOfState,
  type SeedbedStore,
  type StoreState,
  type StoreStep,
} from './seedbed-store.ts';

/**
 * The store of a bed whose parts are watered differently: the same sand in each part, every part
 * with water of its own. The bed is as dry as its driest part, and drains as its wettest does: no
 * mean hides one that is short or flooded.
 *
 * The parts share rain and loss; a step's `partsMm` is what is given to each of them besides.
 *
 * @param store The sand's own store.
 * @param parts How many parts, 2 or more.
 */
export function partedStore(store: SeedbedStore, parts: number): SeedbedStore {
  return joinedStores(
    Array.from({ length: parts }, () => store),
    (name, part) => `${name}@${part}`,
    ({ waterMm, partsMm, demandMm, hours }, part) => ({
      waterMm: waterMm + (partsMm?.[part] ?? 0),
      demandMm,
      hours,
    }),
  );
}

/** The states of the parts, in their order, as those of the sand's own store. */
export function statesOfParts(state: StoreState, parts: number): readonly StoreState[] {
  const known = statesOfStores(state);
  if (known?.length === parts) return known;
  const own = Array.from({ length: parts }, (): Record<string, number> => ({}));
  for (const [key, value] of Object.entries(state)) {
    const cut = key.lastIndexOf('@');
    const part = own[Number(key.slice(cut + 1))];
    if (part !== undefined) part[key.slice(0, cut)] = value;
  }
  return own;
}

/** The parts' states as that of their parted store. */
export function partedState(states: readonly StoreState[]): StoreState {
  const entries = states.flatMap((state, part) =>
    Object.entries(state).map(([name, value]) => [`${name}@${part}`, value] as const),
  );
  return Object.fromEntries(entries);
}

/**
 * One bed whose sand may be any of several: each of the stores is followed on its own, through the
 * same water and weather, and the bed is taken for the worst of them at each moment. What is left
 * is the least that any has left, room is what the fullest can still take, so that nothing drains
 * that need not, and what drains is the most.
 *
 * The state is that of all of them, each one's parts under its number; a single store is given back
 * as it is.
 *
 * @throws RangeError when there is no store.
 */
export function severalStores(stores: readonly SeedbedStore[]): SeedbedStore {
  const [first] = stores;
  if (first === undefined) {
    throw new RangeError('severalStores: a bed needs a store (got none); give at least one');
  }
  if (stores.length === 1) return first;
  return joinedStores(stores, (part, index) => `${part}${index + 1}`);
}

/**
 * Values of several stores under names of their own, which also remembers them store by store: a day
 * is followed through thousands of such states, and taking them apart by name each time costs more
 * than the sand itself. What is copied or was kept on disk has only the names.
 */
class JoinedState {
  [name: string]: number;
  readonly #ofStores: readonly StoreState[];

  constructor(ofStores: readonly StoreState[]) {
    this.#ofStores = ofStores;
  }

  static ofStores(state: StoreState): readonly StoreState[] | null {
    return #ofStores in state ? state.#ofStores : null;
  }
}

/** The states of the single stores, in their order; null where only their names are known. */
function statesOfStores(state: StoreState): readonly StoreState[] | null {
  return JoinedState.ofStores(state);
}

/**
 * Several stores followed side by side in one state, each one's values under names of its own. What
 * is left, the room and the capacity are the least that any has, what drains is the most.
 *
 * @param keyOf The name in the joined state of one store's value.
 * @param stepOf What a step is for one of the stores; left out: the same for all.
 */
function joinedStores(
  stores: readonly SeedbedStore[],
  keyOf: (name: string, index: number) => string,
  stepOf: (step: StoreStep, index: number) => StoreStep = (step) => step,
): SeedbedStore {
  const members = stores.map((store, index) => ({
    store,
    index,
    keys: Object.keys(store.full).map((name) => ({ name, key: keyOf(name, index) })),
  }));
  type Member = (typeof members)[number];
  const own = (state: StoreState, { keys, index }: Member): StoreState => {
    const known = statesOfStores(state)?.[index];
    if (known !== undefined) return known;
    const values: Record<string, number> = {};
    for (const { name, key } of keys) values[name] = partOfState(state, key);
    return values;
  };
  const together = (stateOf: (member: Member) => StoreState): StoreState => {
    const states = members.map(stateOf);
    const all = new JoinedState(states);
    for (const { keys, index } of members) {
      const state = entryOf(states, index);
      for (const { name, key } of keys) all[key] = partOfState(state, name);
    }
    return all;
  };
  const least = (of: (store: SeedbedStore, state: StoreState) => number, state: StoreState) => {
    let leastMm = Number.POSITIVE_INFINITY;
    for (const member of members) {
      leastMm = Math.min(leastMm, of(member.store, own(state, member)));
    }
    return leastMm;
  };
  return {
    isAdditive: stores.every((store) => store.isAdditive),
    full: together(({ store }) => store.full),
    step(state, step) {
      let drainedMm = 0;
      const after = together((member) => {
        const change = member.store.step(own(state, member), stepOf(step, member.index));
        drainedMm = Math.max(drainedMm, change.drainedMm);
        return change.state;
      });
      return { state: after, drainedMm };
    },
    marginMm: (state, demandMmPerH) =>
      least((store, values) => store.marginMm(values, demandMmPerH), state),
    leftMm: (state, demandMmPerH) =>
      least((store, values) => store.leftMm(values, demandMmPerH), state),
    capacityMm: (demandMmPerH) =>
      Math.min(...stores.map((store) => store.capacityMm(demandMmPerH))),
    roomMm: (state) => least((store, values) => store.roomMm(values), state),
    driedThrough: (demandMmPerH) => together(({ store }) => store.driedThrough(demandMmPerH)),
    stateAt: (partFraction, demandMmPerH) =>
      together(({ store }) => store.stateAt(partFraction, demandMmPerH)),
  };
}

import { joinedStores, statesOfStores } from './joined-stores.ts';
import type { SeedbedStore, StoreState } from './seedbed-store.ts';

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

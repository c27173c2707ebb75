import { joinedStores } from './joined-stores.ts';
import type { SeedbedStore } from './seedbed-store.ts';

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

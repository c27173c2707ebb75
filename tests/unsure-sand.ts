import { libraryStore } from '../calc/futures/sand-members.ts';
import { plainStore, type SeedbedStore, type StoreState } from '../calc/sand/seedbed-store.ts';

/** An invented sand of which it is not known how much it holds. */
export interface UnsureSand {
  /** What it most likely holds, mm. */
  capacityMm: number;
  /** By how much less one in five of such sands holds, mm. */
  lessMm: number;
  feedMmPerH?: number;
}

/**
 * Three sands by hand, with figures that follow in the head: the first, of one part in five, holds less
 * and is otherwise as the two others, so that it has at every moment just as much less above its limit,
 * and as much room. It is the one below which a risk of 5 % lies, and the others are the middle.
 */
export function unsureSand({ capacityMm, lessMm, feedMmPerH = 0 }: UnsureSand): SeedbedStore {
  const member = (heldMm: number, weightFraction: number) => ({
    store: plainStore({ capacityMm: heldMm, feedMmPerH }),
    weightFraction,
    lossFactor: 1,
    nightFraction: 0,
  });
  if (lessMm === 0) return plainStore({ capacityMm, feedMmPerH });
  return libraryStore([
    member(capacityMm - lessMm, 0.2),
    member(capacityMm, 0.4),
    member(capacityMm, 0.4),
  ]);
}

/** Its state where the likely ones have so much left. */
export function unsureState(storeMm: number, { lessMm }: Pick<UnsureSand, 'lessMm'>): StoreState {
  if (lessMm === 0) return { storeMm };
  return { storeMm1: storeMm - lessMm, storeMm2: storeMm, storeMm3: storeMm };
}

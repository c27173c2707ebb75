import type { SeedbedStore, StoreState } from '../sand/seedbed-store.ts';
import { watersAlike } from './cycle-block.ts';
import type { Station } from './site.ts';
import { stateOfStation } from './station-states.ts';

/** Stations of a bed whose parts of it are as moist as each other: they are followed as one. */
export interface BedPart {
  /** Empty: the whole bed, whatever waters it. */
  stationIds: readonly string[];
  state: StoreState;
}

/** Parts that differ by less than this are alike: no rotation is known that well. */
const ALIKE_MM = 0.02;

/**
 * A bed's parts: its stations, those together that give the same depth in every cycle and whose sand
 * stands alike now. Of such stations the driest stands for all.
 *
 * @param stations The bed's own; none: the bed is one part.
 * @param stateNow The bed's state, of all its stations or of each.
 */
export function bedParts(
  stations: readonly Station[],
  stateNow: StoreState,
  store: SeedbedStore,
): BedPart[] {
  const parts: { like: Station; roomMm: number; stationIds: string[]; state: StoreState }[] = [];
  for (const station of stations) {
    const state = stateOfStation(stateNow, station.id, store);
    const roomMm = store.roomMm(state);
    const part = parts.find(
      (one) => watersAlike(one.like, station) && Math.abs(one.roomMm - roomMm) < ALIKE_MM,
    );
    if (part === undefined) {
      parts.push({ like: station, roomMm, stationIds: [station.id], state });
      continue;
    }
    part.stationIds.push(station.id);
    if (roomMm > part.roomMm) Object.assign(part, { roomMm, state });
  }
  if (parts.length === 0) return [{ stationIds: [], state: stateNow }];
  return parts.map(({ stationIds, state }) => ({ stationIds, state }));
}

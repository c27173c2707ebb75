import { statesOfParts } from '../sand/parted-store.ts';
import type { StoreState } from '../sand/seedbed-store.ts';
import { type BedBalance, stepAt } from './bed-balance.ts';
import type { Station } from './site.ts';

/** The store's own state at the beginning of the step that holds an instant. */
export function stateBefore({ grid, states, store }: BedBalance, instantMs: number): StoreState {
  return states[stepAt(grid, instantMs)] ?? store.full;
}

/** What each part can take in this state, mm. */
export function roomsOfParts({ parts, sand }: BedBalance, state: StoreState): number[] {
  if (parts.length === 1) return [sand.roomMm(state)];
  return statesOfParts(state, parts.length).map((own) => sand.roomMm(own));
}

/** What each part can take at an instant, mm; where a cycle ends within the step, what it has left. */
export function roomsAt(balance: BedBalance, instantMs: number): number[] {
  const { grid, states, store, irrigationMm } = balance;
  const step = stepAt(grid, instantMs);
  const before = roomsOfParts(balance, states[step] ?? store.full);
  if (irrigationMm.every((series) => !((series[step] ?? 0) > 0))) return before;
  const after = roomsOfParts(balance, states[step + 1] ?? store.full);
  return before.map((mm, part) => Math.min(mm, after[part] ?? mm));
}

/** What each part gets of a cycle's runs, mm in the mean of its stations. */
export function netOfParts(
  { parts }: BedBalance,
  runs: readonly { station: { id: string }; netMm: number }[],
): number[] {
  return parts.map(({ stationIds }) => {
    const own =
      stationIds.length === 0
        ? runs
        : runs.filter(({ station }) => stationIds.includes(station.id));
    const stations = stationIds.length === 0 ? own.length : stationIds.length;
    return own.reduce((sum, { netMm }) => sum + netMm, 0) / Math.max(1, stations);
  });
}

/** How much more the part of each station could take than the wettest one, mm, in their order. */
export function drierThanWettest(
  balance: BedBalance,
  stations: readonly Pick<Station, 'id'>[],
  state: StoreState,
): number[] {
  const { parts } = balance;
  if (parts.length === 1) return stations.map(() => 0);
  const roomsMm = roomsOfParts(balance, state);
  const leastMm = Math.min(...roomsMm);
  return stations.map(({ id }) => {
    const part = parts.findIndex(({ stationIds }) => stationIds.includes(id));
    return (roomsMm[part] ?? leastMm) - leastMm;
  });
}

import type { SeedbedStore, StoreState } from '../sand/seedbed-store.ts';
import { watersAlike } from './cycle-block.ts';
import type { Station } from './site.ts';

/**
 * How a bed's state is kept when its stations' parts differ: each value under its name, `@` and the
 * station's id. A state without `@` holds for every station.
 */
const AT = '@';

/** The state of each station, by id; one entry under `''` when it holds for all of them. */
export function stationStates(state: StoreState): Map<string, StoreState> {
  const found = new Map<string, Record<string, number>>();
  for (const [key, value] of Object.entries(state)) {
    const cut = key.indexOf(AT);
    const id = cut === -1 ? '' : key.slice(cut + 1);
    const own = found.get(id) ?? {};
    own[cut === -1 ? key : key.slice(0, cut)] = value;
    found.set(id, own);
  }
  return found;
}

/** The bed's state from its stations': plain where all of them are alike. */
export function bedState(states: ReadonlyMap<string, StoreState>): StoreState {
  const [first = {}] = states.values();
  const isAlike = [...states.values()].every((state) =>
    Object.entries(first).every(([name, value]) => state[name] === value),
  );
  if (isAlike) return first;
  const entries = [...states].flatMap(([id, state]) =>
    Object.entries(state).map(([name, value]) => [`${name}${AT}${id}`, value] as const),
  );
  return Object.fromEntries(entries);
}

/** The bed's state with each station's changed. */
export function mapStations(
  state: StoreState,
  change: (own: StoreState, stationId: string) => StoreState,
): StoreState {
  const changed = [...stationStates(state)].map(([id, own]) => [id, change(own, id)] as const);
  return bedState(new Map(changed));
}

/**
 * The state of one station. One that the state does not know, as after a change of the stations,
 * counts as the driest that it knows.
 */
export function stateOfStation(
  state: StoreState,
  stationId: string,
  store: SeedbedStore,
): StoreState {
  const states = stationStates(state);
  return states.get(stationId) ?? states.get('') ?? driestOf([...states.values()], store);
}

function driestOf(states: readonly StoreState[], store: SeedbedStore): StoreState {
  const roomOf = (state: StoreState) => store.roomMm(state);
  return states.reduce(
    (dry, one) => (roomOf(one) > roomOf(dry) ? one : dry),
    states[0] ?? store.full,
  );
}

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

import type { SeedbedStore, StoreState } from '../sand/seedbed-store.ts';

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

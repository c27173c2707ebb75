import { entryOf } from '../checked-entry.ts';
import {
  partOfState,
  type SeedbedStore,
  type StoreState,
  type StoreStep,
} from '../sand/seedbed-store.ts';

/** A sand that a bed may have, with what else of its loss is not known. */
export interface SandMember {
  /** Its store, for the depth that the bed's stage manages. */
  store: SeedbedStore;
  /** Chance that the bed is this one; the weights of a bed add up to 1. */
  weightFraction: number;
  /** Factor on the loss that the bed's coefficient gives. */
  lossFactor: number;
  /** Part of what closed stomata would keep back at night that this sand loses all the same, 0 to 1. */
  nightFraction: number;
}

/** A bed's store by all that its sand may be. */
export interface LibraryStore extends SeedbedStore {
  members: readonly SandMember[];
}

/** The members of a bed's store; of a sand that is taken for known, itself alone. */
export function membersOf(store: SeedbedStore): readonly SandMember[] {
  if ('members' in store) return (store as LibraryStore).members;
  return [{ store, weightFraction: 1, lossFactor: 1, nightFraction: 0 }];
}

/** What a member loses of a step's loss, mm. */
export function lossOfMember(
  { lossFactor, nightFraction }: Pick<SandMember, 'lossFactor' | 'nightFraction'>,
  demandMm: number,
  nightExtraMm: number,
): number {
  // Dew falls on every sand alike.
  const wetMm = demandMm + nightFraction * nightExtraMm;
  return wetMm > 0 ? lossFactor * wetMm : wetMm;
}

/**
 * The store of a bed whose sand may be any of several: each is followed on its own through the same
 * water and weather. What is told of it, its margin, room and capacity, is the weighted middle of them.
 *
 * The state is that of all of them, each one's values under its number. A single one that is taken as
 * it stands is given back as it is.
 *
 * @throws RangeError when there is no member, or a weight is not above 0
 */
export function libraryStore(members: readonly SandMember[]): SeedbedStore {
  const [first] = members;
  if (first === undefined || members.some(({ weightFraction }) => !(weightFraction > 0))) {
    throw new RangeError(
      `libraryStore: a bed needs sands with weights above 0 (got ${members.map((one) => one.weightFraction).join(', ')}); give at least one`,
    );
  }
  if (members.length === 1 && first.lossFactor === 1 && first.nightFraction === 0) {
    return first.store;
  }
  const statesOf = (state: StoreState) => statesOfMembers(state, members);
  const together = (stateOf: (member: SandMember) => StoreState) =>
    stateOfAll(members, members.map(stateOf));
  const middle = (of: (member: SandMember, state: StoreState) => number, state: StoreState) => {
    const own = statesOf(state);
    return middleOf(members, (member, index) => of(member, entryOf(own, index)));
  };
  const rated = ({ lossFactor }: SandMember, demandMmPerH: number) => lossFactor * demandMmPerH;
  const library: LibraryStore = {
    members,
    isAdditive: members.every(({ store }) => store.isAdditive),
    full: together(({ store }) => store.full),
    step(state, step) {
      const own = statesOf(state);
      let drainedMm = 0;
      const after = members.map((member, index) => {
        const change = member.store.step(entryOf(own, index), stepOf(member, step));
        drainedMm += member.weightFraction * change.drainedMm;
        return change.state;
      });
      return { state: stateOfAll(members, after), drainedMm };
    },
    marginMm: (state, demandMmPerH) =>
      middle((one, own) => one.store.marginMm(own, rated(one, demandMmPerH)), state),
    leftMm: (state, demandMmPerH) =>
      middle((one, own) => one.store.leftMm(own, rated(one, demandMmPerH)) / one.lossFactor, state),
    capacityMm: (demandMmPerH) =>
      middleOf(members, (one) => one.store.capacityMm(rated(one, demandMmPerH)) / one.lossFactor),
    roomMm: (state) => middle((one, own) => one.store.roomMm(own), state),
    driedThrough: (demandMmPerH) =>
      together((one) => one.store.driedThrough(rated(one, demandMmPerH))),
    stateAt: (partFraction, demandMmPerH) =>
      together((one) => one.store.stateAt(partFraction, rated(one, demandMmPerH))),
    rows: {
      names: members.flatMap(({ store }, index) =>
        store.rows.names.map((name) => keyOf(name, index)),
      ),
      step: notByRow,
      marginMm: notByRow,
      roomMm: notByRow,
    },
  };
  return library;
}

/** Of a library each member is followed by a row of its own. */
function notByRow(): never {
  throw new RangeError('libraryStore: has no row of its own; follow its members');
}

function stepOf(member: SandMember, { waterMm, demandMm, nightExtraMm = 0, hours }: StoreStep) {
  return { waterMm, demandMm: lossOfMember(member, demandMm, nightExtraMm), hours };
}

function keyOf(name: string, index: number): string {
  return `${name}${index + 1}`;
}

/** The states of a bed's members in their order, from the bed's own. */
export function statesOfMembers(state: StoreState, members: readonly SandMember[]): StoreState[] {
  if (members.length === 1 && members[0]?.store.rows.names.every((name) => name in state)) {
    return [state];
  }
  return members.map(({ store }, index) => {
    const own: Record<string, number> = {};
    for (const name of store.rows.names) own[name] = partOfState(state, keyOf(name, index));
    return own;
  });
}

/** The bed's state from those of its members. */
export function stateOfAll(
  members: readonly SandMember[],
  states: readonly StoreState[],
): StoreState {
  const all: Record<string, number> = {};
  for (const [index, { store }] of members.entries()) {
    const state = entryOf(states, index);
    for (const name of store.rows.names) all[keyOf(name, index)] = partOfState(state, name);
  }
  return all;
}

/** The weighted middle of what each member gives: half of the weight lies on either side. */
export function middleOf(
  members: readonly SandMember[],
  of: (member: SandMember, index: number) => number,
): number {
  const values = members.map((member, index) => ({
    value: of(member, index),
    weight: member.weightFraction,
  }));
  values.sort((a, b) => a.value - b.value);
  const half = values.reduce((sum, { weight }) => sum + weight, 0) / 2;
  let below = 0;
  for (const { value, weight } of values) {
    below += weight;
    if (below >= half) return value;
  }
  return values.at(-1)?.value ?? 0;
}

/** How the store's size came to be known. */
export type SandBasis = 'stated' | 'class_default' | 'lab_report';

/** What a store remembers from one step to the next: its parts in mm, by name. */
export type StoreState = Readonly<Record<string, number>>;

/** @throws RangeError where the state is of another store. */
export function partOfState(state: StoreState, name: string): number {
  const value = state[name];
  if (value === undefined) {
    throw new RangeError(
      `state: has no ${name} (got ${Object.keys(state).join(', ')}); give a state of this store`,
    );
  }
  return value;
}

/** What happens to a seedbed in one step. */
export interface StoreStep {
  /** Rain and net irrigation together, mm. */
  waterMm: number;
  /** Loss that the air asks for, mm; negative when dew forms. */
  demandMm: number;
  /** What closed stomata keep back of it at night, and wet sand may not, mm; none when left out. */
  nightExtraMm?: number;
  hours: number;
}

/** The store after a step, and the water that it could not hold. */
export interface StoreChange {
  state: StoreState;
  /** Water that left the seedbed's reach downward, mm. */
  drainedMm: number;
}

/**
 * A seedbed as the planner sees it: what it holds above its dry limit, and how that changes. The
 * planner knows nothing else of the sand, so that a model can be replaced without touching it.
 *
 * Capacity and margin belong to a demand: under a hotter air the surface dries while more water is
 * left in it, and less comes up from below in time.
 */
export interface SeedbedStore {
  /**
   * True when the state follows from the sums of what came and went (but for what a feed covers): a
   * search over the day is as good as exact then. Otherwise it is a proposal, and costs more.
   */
  readonly isAdditive: boolean;
  /** Wetted and drained of what it cannot hold. */
  readonly full: StoreState;
  step(state: StoreState, step: StoreStep): StoreChange;
  /** Water above the dry limit of this demand, mm; 0 or less when the seedbed is dry. */
  marginMm(state: StoreState, demandMmPerH: number): number;
  /**
   * What the seedbed can give to a steady demand until it is dry, mm, rise from below included; at
   * most what two days of it take. 0 or less when it is dry.
   */
  leftMm(state: StoreState, demandMmPerH: number): number;
  /** What a full seedbed can give to it, mm. */
  capacityMm(demandMmPerH: number): number;
  /** Net water that can be given now without draining, mm. */
  roomMm(state: StoreState): number;
  /**
   * The driest that a bed may be whose surface is dry at this demand: nothing just below it is so
   * moist that it would wet the seed layer again by itself.
   */
  driedThrough(demandMmPerH: number): StoreState;
  /** The state with this part of the capacity left at this demand. */
  stateAt(partFraction: number, demandMmPerH: number): StoreState;
  /** The same store on states that stand in a row of numbers: what a plan follows many sands by. */
  rows: StoreRows;
}

/**
 * A store whose states are stretches of a row of numbers. Nothing is allocated, and nothing checked:
 * the caller keeps to `names.length` values a state.
 */
export interface StoreRows {
  /** Names of a state's values, in their order. */
  names: readonly string[];
  /** Follows the state at `place.from` over a step to `place.to`; gives what drained, mm. */
  step(rows: Float64Array, place: { from: number; to: number }, step: RowStep): number;
  marginMm(rows: Float64Array, at: number, demandMmPerH: number): number;
  roomMm(rows: Float64Array, at: number): number;
}

/** A step of one store: water and loss in mm over `hours`. */
export interface RowStep {
  waterMm: number;
  demandMm: number;
  hours: number;
}

/** Writes a state into a row, from a place on. */
export function writeRow(
  rows: Float64Array,
  at: number,
  { names }: Pick<StoreRows, 'names'>,
  state: StoreState,
): void {
  for (const [index, name] of names.entries()) rows[at + index] = partOfState(state, name);
}

/** The state that stands in a row at a place. */
export function stateOfRow(
  rows: Float64Array,
  at: number,
  { names }: Pick<StoreRows, 'names'>,
): StoreState {
  return Object.fromEntries(names.map((name, index) => [name, rows[at + index] ?? 0]));
}

/** Figures of a one-part store. */
export interface PlainStoreFigures {
  /** Water that the seedbed holds between full and its dry limit, mm. */
  capacityMm: number;
  /** Rate at which the root zone below can feed the seedbed, mm/h. */
  feedMmPerH: number;
}

const MOST_H = 48;

/**
 * The plainest store: one part, full after a cycle, emptied by demand, fed from below at a steady
 * rate, overflow drained. Its capacity is the same at every demand.
 *
 * The feed only covers demand and never lifts the store by itself, because a seedbed wetter than
 * the sand below is not fed. Below the dry limit the store goes negative as far as demand takes it.
 * The balance closes: `after = before + water + fed - demand - drained`.
 *
 * @throws RangeError when the capacity is not above 0 or the feed is negative.
 */
export function plainStore(figures: PlainStoreFigures): SeedbedStore {
  const { capacityMm, feedMmPerH } = figures;
  if (!(capacityMm > 0) || !(feedMmPerH >= 0)) {
    throw new RangeError(
      `plainStore: capacity must be above 0 and feed not negative (got ${capacityMm} mm, ${feedMmPerH} mm/h); correct the sand's figures`,
    );
  }
  /** The store empties at the demand less the feed, and gives the demand meanwhile. */
  const givenMm = (levelMm: number, demandMmPerH: number) => {
    if (levelMm <= 0) return levelMm;
    const emptiesMmPerH = demandMmPerH - feedMmPerH;
    const mostMm = Math.max(levelMm, demandMmPerH * MOST_H);
    return emptiesMmPerH > 0 ? Math.min((levelMm * demandMmPerH) / emptiesMmPerH, mostMm) : mostMm;
  };
  const levelOf = (state: StoreState) => partOfState(state, 'storeMm');
  return {
    isAdditive: true,
    full: { storeMm: capacityMm },
    step(state, { waterMm, demandMm, hours }) {
      const fedMm = Math.min(Math.max(demandMm, 0), feedMmPerH * hours);
      const level = levelOf(state) + waterMm + fedMm - demandMm;
      const drainedMm = Math.max(0, level - capacityMm);
      return { state: { storeMm: level - drainedMm }, drainedMm };
    },
    marginMm: levelOf,
    leftMm: (state, demandMmPerH) => givenMm(levelOf(state), demandMmPerH),
    capacityMm: (demandMmPerH) => givenMm(capacityMm, demandMmPerH),
    roomMm: (state) => Math.max(0, capacityMm - levelOf(state)),
    driedThrough: () => ({ storeMm: 0 }),
    stateAt: (partFraction) => ({ storeMm: capacityMm * partFraction }),
    rows: {
      names: ['storeMm'],
      step(rows, { from, to }, { waterMm, demandMm, hours }) {
        const fedMm = Math.min(Math.max(demandMm, 0), feedMmPerH * hours);
        const levelMm = (rows[from] ?? 0) + waterMm + fedMm - demandMm;
        const drainedMm = Math.max(0, levelMm - capacityMm);
        rows[to] = levelMm - drainedMm;
        return drainedMm;
      },
      marginMm: (rows, at) => rows[at] ?? 0,
      roomMm: (rows, at) => Math.max(0, capacityMm - (rows[at] ?? 0)),
    },
  };
}

/** Depth of the seed layer that a sand's capacity is given for. */
export const SEED_LAYER_MM = 8;

/**
 * The store of a deeper layer of the same sand: capacity in proportion to depth.
 *
 * Roots that reach deeper can use what the deeper layer holds; the sand is taken as uniform over
 * the depth, which holds for one mix above the water that perches over gravel.
 *
 * @param managedDepthMm Depth that the stage manages, mm, at least that of the seed layer.
 */
export function managedSand(sand: PlainStoreFigures, managedDepthMm: number): PlainStoreFigures {
  const layers = Math.max(1, managedDepthMm / SEED_LAYER_MM);
  return { capacityMm: sand.capacityMm * layers, feedMmPerH: sand.feedMmPerH };
}

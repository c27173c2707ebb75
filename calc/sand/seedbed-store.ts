/** How the store's size came to be known. */
export type SandBasis = 'stated' | 'class_default' | 'lab_report';

/** What a store remembers from one step to the next: its parts in mm, by name. */
export type StoreState = Readonly<Record<string, number>>;

/** What happens to a seedbed in one step. */
export interface StoreStep {
  /** Rain and net irrigation together, mm. */
  waterMm: number;
  /** Of a bed in parts: what each part gets beside that, mm. */
  partsMm?: readonly number[];
  /** Loss that the air asks for, mm; negative when dew forms. */
  demandMm: number;
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
}

import type { KeepOffCause } from './site.ts';
import type { SupplyLimit } from './supply-limit.ts';

/** What stood in the way of water for a short bed at most of the starts. */
export type ShortageCause =
  | SupplyLimit
  | { kind: 'rest' }
  | { kind: 'keep_off'; off: KeepOffCause; endMs: number }
  | { kind: 'before_hours'; firstStartMs: number }
  | { kind: 'day_over'; lastEndMs: number }
  /** The bed stays above its dry limit, and no cycle was added for the reserve alone. */
  | { kind: 'reserve_only' }
  /** No cycle more would make it less dry. */
  | { kind: 'no_cycle_helps' };

/** A change that a person could make to the day. */
export type RemedyChange =
  | { kind: 'keep_off_later' | 'keep_off_earlier'; why: string; minutes: number }
  | { kind: 'first_start_earlier' | 'last_end_later'; minutes: number }
  | { kind: 'one_more_station' }
  | { kind: 'larger_allowance' | 'stronger_pump'; byPct: number };

/** What would help a short bed: found by planning the day anew with it. */
export interface Remedy {
  change: RemedyChange;
  /** Of the bed's minutes below its reserve. */
  savedMin: number;
  /** True where none would be left. */
  isCure: boolean;
}

/** A stretch of daylight in which a bed stays below its reserve. */
export interface ShortStretch {
  bedId: string;
  fromMs: number;
  toMs: number;
  minutesBelowReserve: number;
  minutesBelowDryLimit: number;
  lowestStoreMm: number;
}

/** Such a stretch with what stands in the way, and what would help. */
export interface Shortage extends ShortStretch {
  cause: ShortageCause;
  /** Null where no change that was tried helps, or the bed never comes to its dry limit. */
  remedy: Remedy | null;
}

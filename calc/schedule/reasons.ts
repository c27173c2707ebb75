import type { NightException } from './night-water.ts';
import type { KeepOffCause } from './site.ts';
import type { SupplyLimit } from './supply-limit.ts';

/** Why a cycle stands where it stands: a closed list of codes with their measures. */
export type Reason =
  | { code: 'kept' }
  | { code: 'asked_for'; who: string; atMs: number }
  | { code: 'store_at_reserve'; atMs: number }
  | { code: 'first_of_day' }
  | { code: 'last_of_day'; untilMs: number }
  | ({ code: 'before_keep_off'; startMs: number } & KeepOffCause)
  | ({ code: 'after_keep_off'; endMs: number } & KeepOffCause)
  | { code: 'earlier_for_supply'; limit: SupplyLimit; minutes: number }
  | { code: 'later_for_supply'; limit: SupplyLimit; minutes: number }
  | { code: 'earlier_for_day'; minutes: number }
  | { code: 'earlier_to_level'; minutes: number }
  | { code: 'earlier_for_lull'; minutes: number }
  | { code: 'earlier_as_before'; minutes: number }
  | { code: 'rested_first'; restMin: number }
  | { code: 'least_cycles'; cycles: number }
  | { code: 'rotation_exceeds_store'; wasteMm: number }
  | { code: 'for_driest'; wasteMm: number }
  | { code: 'held_at_cap'; capMm: number }
  | { code: 'night_water'; exception: NightException };

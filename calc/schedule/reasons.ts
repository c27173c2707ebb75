/** Why a cycle stands where it stands: a closed list of codes with their measures. */
export type Reason =
  | { code: 'store_at_reserve'; atMs: number }
  | { code: 'first_of_day' }
  | { code: 'last_of_day'; untilMs: number }
  | { code: 'before_keep_off'; why: string; startMs: number }
  | { code: 'after_keep_off'; why: string; endMs: number }
  | { code: 'earlier_for_flow'; limit: string; minutes: number }
  | { code: 'later_for_flow'; limit: string; minutes: number }
  | { code: 'one_rotation_exceeds_store'; wasteMm: number }
  | { code: 'capped'; capMm: number };

/** Every warning that a plan can carry, in the order in which a person has to read them. */
export const WARNING_CODES = [
  'revised',
  'bed_held',
  'field_fault',
  'missed_away',
  'keep_off',
  'not_seeded',
  'does_not_fit',
  'season_allowance',
  'wind_question',
  'wind_answered',
  'night_water',
  'drains',
  'stations_differ',
  'long_runs',
  'day_call',
  'hand_water',
  'looks',
  'runs_assumed',
  'slow_patch',
  'trim',
  'weather_stale',
  'weather_checked',
  'weather_carried',
  'weather_usual',
  'weather_filled',
  'rate_assumed',
  'sand_assumed',
  'stage_prompt',
] as const;

export type WarningCode = (typeof WARNING_CODES)[number];

/** Something the person must know before confirming. */
export interface PlanWarning {
  code: WarningCode;
  bedId: string | null;
  /** One plain sentence. */
  text: string;
}

/** Warnings in the order in which a person has to read them; of one code as they were given. */
export function inReadingOrder(warnings: readonly PlanWarning[]): PlanWarning[] {
  const placeOf = ({ code }: PlanWarning) => WARNING_CODES.indexOf(code);
  return warnings.toSorted((a, b) => placeOf(a) - placeOf(b));
}

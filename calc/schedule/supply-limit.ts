/** Names the limit that a cycle would break. */
export type SupplyLimit =
  | { kind: 'pump' }
  | { kind: 'main'; id: string }
  | { kind: 'lateral'; id: string }
  | { kind: 'stations_at_once' }
  | { kind: 'start_gap' }
  | { kind: 'pump_rise' }
  | { kind: 'pump_rest' }
  | { kind: 'allowance' }
  | { kind: 'season_allowance' };

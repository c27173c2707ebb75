/** What one answer to the wind costs, over all beds. */
export interface WindAnswer {
  cycles: number;
  /** Water that the wind carries off and the air takes up, mm summed over the beds. */
  driftMm: number;
  /** Minutes below the dry limit in the hours in which water may run, summed over the beds. */
  minutesBelowDryLimit: number;
}

/** What a person has to decide where cycles cannot go round the wind. */
export interface WindQuestion {
  /** First and last instant of the windy cycles. */
  fromMs: number;
  toMs: number;
  bedIds: string[];
  /** As planned. */
  runAnyway: WindAnswer;
  /** Nothing runs while the wind is above the limit. */
  skip: WindAnswer;
  /** Single rotations, as often as they are needed. */
  shorterAndOftener: WindAnswer;
}

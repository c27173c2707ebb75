/** What a person may answer to the wind. */
export const WIND_CHOICES = ['run_anyway', 'skip', 'shorter_and_oftener'] as const;

export type WindChoice = (typeof WIND_CHOICES)[number];

/** What a person has answered. */
export interface GivenWindAnswer {
  choice: WindChoice;
  who: string;
  atMs: number;
}

/** What one answer to the wind costs, over all beds. */
export interface WindAnswer {
  cycles: number;
  /** Water that the wind carries off and the air takes up, mm summed over the beds. */
  driftMm: number;
  /** Minutes below the dry limit in the hours in which water may run, summed over the beds. */
  minutesBelowDryLimit: number;
  /** True where these minutes may be fewer: the work that an answer may take had run out. */
  isAtMost?: boolean;
}

/** What a person has to decide where cycles cannot go round the wind. */
export interface WindQuestion {
  /** First and last instant of the windy cycles, as they are when they run anyway. */
  fromMs: number;
  toMs: number;
  bedIds: string[];
  /** Cycles stay in the wind where no lull takes them. */
  runAnyway: WindAnswer;
  /** Nothing runs while the wind is above the limit. */
  skip: WindAnswer;
  /** Single rotations, as often as they are needed. */
  shorterAndOftener: WindAnswer;
  /** The answer that the plan follows; left out: nobody has answered, and it runs anyway. */
  answered?: GivenWindAnswer;
}

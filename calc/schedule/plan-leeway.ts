/** How far one bed's day may be followed without another confirm. */
export interface BedLeeway {
  bedId: string;
  /** Cycles of the plan for it, and how many of them may be left out. */
  laidCycles: number;
  leaveOutCycles: number;
  /** Each may begin so much earlier or later. */
  moveMin: number;
  /** Cycles that may be added; they start and end between these instants. */
  spareCycles: number;
  fromMs: number;
  untilMs: number;
  /** Most rotations of a station in one cycle. */
  mostRotations: number;
  mostCycles: number;
  /** Most water of the day, what is laid among it. */
  mostL: number;
}

/** The leeway of a plan: what the daemon may do through the day of what a person has confirmed with it. */
export interface PlanLeeway {
  beds: BedLeeway[];
  mains: { mainId: string; mostL: number }[];
  mostL: number;
}

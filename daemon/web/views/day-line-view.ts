/**
 * How far a cycle or a run has come. `silent`: its time has passed and nobody has said that it ran.
 * The closed list is told apart by shape and word on the page, never by colour alone.
 */
export type RunState =
  | 'planned'
  | 'sent'
  | 'accepted'
  | 'running'
  | 'ran'
  | 'silent'
  | 'missed'
  | 'withdrawn'
  | 'rejected';

/** One opening of one station on the day line. */
export interface LineRun {
  stationId: string;
  startMs: number;
  endMs: number;
  runS: number;
  flowLPerMin: number;
  state: RunState;
}

/** One cycle of one bed on the day line. */
export interface LineCycle {
  bedId: string;
  name: string;
  cycle: number;
  startMs: number;
  endMs: number;
  /** Minutes of its longest run. */
  runMin: number;
  /** What its stations run, in words: minutes and whole turns. */
  watering: string;
  grossMm: number;
  netMm: number;
  drainedMm: number;
  state: RunState;
  /** The state in words: "planned, not confirmed". */
  stateWords: string;
  /** Why it stands where it stands, one sentence. */
  reason: string;
  /** Start in terms of the sun: "rise + 1:10". */
  sun: string;
  /** The cycle in one line, for lists and for those who hear the page. */
  line: string;
  runs: LineRun[];
}

/** A stretch in which a bed gets no water, and why. */
export interface LineKeepOff {
  bedId: string;
  startMs: number;
  endMs: number;
  why: string;
}

/** Flow of the pump over the day in steps: each value lasts from its instant to the next one. */
export interface FlowSeries {
  atMs: number[];
  flowLPerMin: number[];
  limitLPerMin: number;
}

/** The day line: every bed against the hours. */
export interface DayLineView {
  startMs: number;
  endMs: number;
  nowMs: number;
  sunriseMs: number | null;
  sunsetMs: number | null;
  /** First start and last end that the rules allow. */
  firstStartMs: number | null;
  lastEndMs: number | null;
  /** The revision whose cycles are drawn: the newest plan. */
  revision: number;
  cycles: LineCycle[];
  /** Cycles of the plan in force that the newest plan does not have; empty when they are the same. */
  inForceCycles: LineCycle[];
  keepOffs: LineKeepOff[];
  flow: FlowSeries;
}

import type { StageName } from '../../../../calc/growth/stages.ts';
import type { WindChoice } from '../../../../calc/schedule/day-plan.ts';

export type Severity = 'danger' | 'warn' | 'note';

/** A plan as the page names it. */
export interface PlanHead {
  revision: number;
  digest: string;
  /** The digest's beginning in two groups of four. */
  shortDigest: string;
  siteDay: string;
  madeAtMs: number;
  /** After this nothing of it may start. */
  endMs: number;
}

/** The plan made last, with its standing. */
export interface NewestPlanView extends PlanHead {
  standing: 'held' | 'confirmed' | 'stopped' | 'replaced';
  /** The standing in one line that cannot be misread. */
  standingLine: string;
  /** Why it was made: "morning plan", "a person asked for it". */
  causeLine: string;
  cycles: number;
  /** A confirm of it lifts these holds. */
  liftsHolds: number[];
}

/** The plan that runs now. */
export interface InForceView extends PlanHead {
  confirmedBy: string;
  atMs: number;
  heldBedIds: string[];
  line: string;
  /** Whether the daemon follows the day within its leeway, and what it has changed. */
  leewayLines: string[];
}

/** Something that waits for a person. */
export interface WaitingItem {
  kind:
    | 'no_plan'
    | 'held_plan'
    | 'outdated_plan'
    | 'hold'
    | 'reminder'
    | 'question'
    | 'fault'
    | 'stale_weather';
  severity: Severity;
  text: string;
  bedIds: string[];
  atMs: number | null;
}

interface HoldView {
  holdId: number;
  who: string;
  why: string;
  beds: 'all' | string[];
  atMs: number;
  untilMs: number | null;
  line: string;
}

interface KeepOffView {
  keepOffId: number;
  who: string;
  why: string;
  beds: 'all' | string[];
  atMs: number;
  /** When water may run again; null: when a person ends it. */
  dryUntilMs: number | null;
  line: string;
}

export interface DayCallView {
  hotterK: number;
  windFraction: number;
  cloudierFraction: number;
  /** Null where no call stands. */
  who: string | null;
  atMs: number | null;
  line: string;
}

/** One bed on the first screen. */
export interface TodayBed {
  id: string;
  name: string;
  /** Its stage in words. */
  stage: string;
  stageName: StageName;
  /** Minutes from now to the dry limit without water: 0 is dry now, null is not in sight. */
  timeToDryMin: number | null;
  dryAtMs: number | null;
  /** The same in words: "dry now", "1 h 20 min, to 11:40", "not today". */
  dryLine: string;
  /** Between which times that is nine times in ten: "10:50 to 12:55"; null: nobody can say. */
  dryBand: string | null;
  /** Time and band in one sentence. */
  drySentence: string;
  /** How often it gets dry for a while all the same; null: no oftener than is accepted. */
  riskLine: string | null;
  /** Expected now, by the newest plan's own reckoning. */
  storeNowMm: number;
  capacityMm: number;
  reserveMm: number;
  lossMm: number;
  rainMm: number;
  netMm: number;
  percentOfLoss: number | null;
  drainedMm: number;
  cycles: number;
  cyclesLeft: number;
  nextCycleMs: number | null;
  minutesBelowDryLimit: number;
  lowestStoreMm: number;
  lowestAtMs: number;
  held: boolean;
  keptOff: boolean;
  /** The dose against what is worked out: 100 leaves it alone. */
  trimPct: number;
  /** Warnings and shortages of this bed. */
  notes: string[];
  /** Worst of it, for order and for a word beside the name; null: nothing. */
  severity: Severity | null;
  /** Depths in the person's units, ready to show. */
  words: {
    store: string;
    capacity: string;
    reserve: string;
    loss: string;
    rain: string;
    net: string;
    percentOfLoss: string;
    drained: string;
    lowest: string;
    next: string;
  };
}

/** The day's weather against a usual day. */
export interface TodayDay {
  siteDay: string;
  /** Mean over the beds. */
  lossMm: number;
  /** Of the days before that are remembered; null: none is. */
  usualLossMm: number | null;
  referenceEtMm: number;
  highC: number;
  lowC: number;
  windMaxMPerS: number;
  windLimitMPerS: number;
  rainMm: number;
  /** Cycles, time of water and beds that get dry, in one line. */
  waterLine: string;
  /** Loss, heat, wind and rain in one line. */
  line: string;
  /** Where the weather came from, how old it is, and how far it may be off. */
  weatherLine: string;
  /** What risk of dry beds the plan keeps; null: it was laid for one course of the day. */
  riskLine: string | null;
}

export interface ShortageView {
  bedId: string;
  name: string;
  fromMs: number;
  toMs: number;
  minutesBelowReserve: number;
  minutesBelowDryLimit: number;
  lowestStoreMm: number;
  /** What stands in the way, and what would help where something does. */
  because: string;
  line: string;
}

export interface WindAnswerView {
  answer: WindChoice;
  words: string;
  /** The plan is laid so. */
  isPlanned: boolean;
  cycles: number;
  driftMm: number;
  minutesBelowDryLimit: number;
  line: string;
}

export interface QuestionView {
  fromMs: number;
  toMs: number;
  bedIds: string[];
  line: string;
  /** Who answered what; null: nobody yet, and the plan runs anyway. */
  answered: string | null;
  answers: WindAnswerView[];
}

export interface WarningView {
  code: string;
  bedId: string | null;
  text: string;
}

interface NoticeView {
  severity: Severity;
  title: string;
  text: string;
  rule: string;
  saw: string[];
}

/** What became of the newest order at one output. */
export interface DeliveryView {
  output: string;
  kind: 'deliver' | 'withdraw';
  orderId: string;
  state: 'waiting' | 'accepted' | 'rejected' | 'unknown' | 'lapsed' | 'superseded';
  attempts: number;
  atMs: number;
  lastAttemptMs: number | null;
  line: string;
}

/** The leeway of a plan, as whoever confirms reads it. */
interface LeewayView {
  /** One sentence, and what it asks of whoever confirms. */
  line: string;
  holds: string;
  beds: { id: string; name: string; line: string }[];
}

/** Everything that the first screen and the day line need. Plain JSON; all instants epoch ms. */
export interface TodayView {
  /** Changes with anything that is told here; the events carry it too. */
  version: string;
  site: { id: string; name: string; zone: string; units: 'us' | 'metric' };
  nowMs: number;
  siteDay: string;
  newest: NewestPlanView | null;
  inForce: InForceView | null;
  waiting: WaitingItem[];
  holds: HoldView[];
  keepOffs: KeepOffView[];
  call: DayCallView;
  /** To be ticked one by one for a confirm. */
  cautions: { code: string; text: string }[];
  /** What the newest plan could be confirmed with; null: it has no leeway. */
  leeway: LeewayView | null;
  /** What the newest plan changes against the one confirmed last. */
  changes: { againstRevision: number | null; lines: string[] };
  /** Worst first. */
  beds: TodayBed[];
  /** Null while there is no plan. */
  day: TodayDay | null;
  shortages: ShortageView[];
  question: QuestionView | null;
  /** Where a look would tell most; null: nowhere. */
  worthLooking: string | null;
  warnings: WarningView[];
  notices: NoticeView[];
  line: DayLineView | null;
  deliveries: DeliveryView[];
  /** The season's water against its allowance, litres; null: no allowance. */
  seasonWater: { allowedL: number; usedL: number; plannedL: number; leftL: number } | null;
}

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
interface LineRun {
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

import type { StagePrompt } from '../growth/stage-moves.ts';
import type { StageName } from '../growth/stages.ts';
import type { FillMethod, WeatherField } from '../sky/weather-hour.ts';
import type { NightException } from './water-hours.ts';

/** What moved a bed's time to dry so far that the day was planned anew. */
export type RevisionChange =
  | { kind: 'wind'; wasMPerS: number; isMPerS: number }
  | { kind: 'high'; wasC: number; isC: number }
  | { kind: 'rain'; wasMm: number; isMm: number }
  | { kind: 'store'; wasMm: number; isMm: number }
  /** Nothing of these: it loses water faster, or more slowly, than the plan before had it. */
  | { kind: 'faster' | 'slower' };

/** Beds that open stops keep dry, and what a confirm of the plan does to that. */
export interface HeldBeds {
  beds: 'all' | string[];
  who: string;
  why: string;
  sinceMs: number;
  /** Lifted at once, lifted from `untilMs` on, or not lifted by this plan. */
  effect: 'lifted' | 'lifted_later' | 'stands';
  untilMs: number | null;
}

/** Something wrong with what ran, as a receiver's reports or their absence show it. */
export interface FieldFaultFacts {
  kind: 'missing' | 'no_flow' | 'flow_off' | 'ran_on' | 'unasked';
  stationId: string;
  startMs: number;
  /** What it ran by the report; null: nothing is reported. */
  ranS: number | null;
  /** What it was to run; null: nobody had asked. */
  plannedS: number | null;
  flowLPerMin: number | null;
  nominalFlowLPerMin: number | null;
  /** Why a run was not to be, where it was planned once. */
  notToRun: 'withdrawn' | 'missed' | null;
  /** Such runs that are not told one by one. */
  more: number;
}

/** A keep-off that a person has put on and that still stands. */
export interface StandingKeepOff {
  keepOffId: number;
  atMs: number;
  who: string;
  why: string;
  beds: 'all' | string[];
  /** When what it is for is over; null: when a person ends it. */
  overMs: number | null;
  /** How long the label keeps water off after that, and until when as far as it is known. */
  labelIntervalS: number;
  dryUntilMs: number | null;
}

/** Facts of each warning that a plan can carry, in the order in which a person has to read them. */
interface WarningFacts {
  revised: { beforeMs: number; afterMs: number; moveMin: number; changes: RevisionChange[] };
  /** Planned from now on after an absence: what was missed is not run late. */
  catch_up: object;
  bed_held: { stop: HeldBeds };
  field_fault:
    | { faults: FieldFaultFacts[]; more: number }
    | { state: 'rejected' | 'unknown'; starts: { startMs: number }[] };
  /** Told by whoever noticed the absence, in its own words. */
  missed_away: { text: string };
  keep_off: { keepOff: StandingKeepOff };
  not_seeded: { seededOn: string | null };
  /** The shortage of the bed that begins then. */
  does_not_fit: { fromMs: number };
  rotation_unplaced: { who: string };
  season_allowance: {
    allowedL: number;
    usedL: number;
    plannedL: number;
    leftL: number;
    sinceDay: string;
  };
  /** What is asked, and each answer's cost, stand in the plan's `question`. */
  wind_question: object;
  wind_answered: object;
  night_water: { exception: NightException; bedIds: string[] };
  deep_refill_missed: { refillStartMs: number; refillEndMs: number; firstRunMs: number };
  drains: { drainedMm: number; netMm: number };
  stations_differ: {
    mostStationId: string;
    mostMm: number;
    mostTurnMm: number;
    leastStationId: string;
    leastMm: number;
  };
  long_runs: {
    stationId: string;
    rotations: number;
    runS: number;
    grossMm: number;
    rotationS: number;
    rotationMm: number;
    rateMmPerH: number;
    /** The longest run, where cycles end at it; null: they do not. */
    mostRunS: number | null;
  };
  day_call: { who: string; hotterK: number; windFraction: number; cloudierFraction: number };
  hand_water: { given: { grossMm: number; atMs: number; who: string }[] };
  looks: {
    looks: number;
    /** Against the sand alone, as parts; null: a person stated the bed's store, and looks only set it. */
    learned: { storeChangeFraction: number; lossChangeFraction: number; setAside: number } | null;
  };
  runs_assumed: { runs: number; lastStartMs: number };
  slow_patch: {
    stage: StageName;
    ruling: StageName;
    patch: string;
    shareFraction: number | null;
  };
  trim: { trimFraction: number; who: string; why: string };
  weather_stale: {
    source: string;
    weatherAsOfMs: number | null;
    ageH: number | null;
    staleAfterH: number | null;
    /** What the source itself reports; null: nothing. */
    fault: string | null;
  };
  /** A check that failed, with the first thing that it refused, as the source's reading tells it. */
  weather_checked: { rule: string; where: string; what: string; done: string; more: number };
  weather_carried: { hours: number };
  weather_usual: { hours: number };
  weather_filled: { field: WeatherField; how: FillMethod; hours: number };
  rate_assumed: { assumed: number; stations: number };
  sand_assumed: { assumed: number; beds: number };
  stage_prompt: { ruling: StageName; prompt: StagePrompt; bedIds: string[] };
}

export type WarningCode = keyof WarningFacts;

/** The order in which a person has to read them. */
export const WARNING_CODES = [
  'revised',
  'catch_up',
  'bed_held',
  'field_fault',
  'missed_away',
  'keep_off',
  'not_seeded',
  'does_not_fit',
  'rotation_unplaced',
  'season_allowance',
  'wind_question',
  'wind_answered',
  'night_water',
  'deep_refill_missed',
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
] as const satisfies readonly WarningCode[];

/** Something the person must know before confirming: a code, the bed that it speaks of, and its facts. */
export type PlanWarning = {
  [Code in WarningCode]: { code: Code; bedId: string | null } & WarningFacts[Code];
}[WarningCode];

/** Warnings in the order in which a person has to read them; of one code as they were given. */
export function inReadingOrder(warnings: readonly PlanWarning[]): PlanWarning[] {
  const placeOf = ({ code }: PlanWarning) => WARNING_CODES.indexOf(code);
  return warnings.toSorted((a, b) => placeOf(a) - placeOf(b));
}

import type { Language } from '../../adapters/contract.ts';
import { type DisplayUnits, display, type UnitDisplay } from '../../adapters/display-units.ts';
import type { SiteClock } from '../../adapters/site-clock.ts';
import type { StageName } from '../../calc/growth/stages.ts';
import type {
  DayPlan,
  Reason,
  RemedyChange,
  Shortage,
  ShortageCause,
  WindAnswer,
  WindChoice,
  WindQuestion,
} from '../../calc/schedule/day-plan.ts';
import type { KeepOffCause, SupplyLimit } from '../../calc/schedule/site.ts';
import { type Place, type Say, sayIn } from './language.ts';

/** Whom a plan is told to: in which language and units, by which clock, and where that person acts. */
export interface Reader {
  language: Language;
  /** Left out: at a command line. */
  place?: Place;
  clock: Pick<SiteClock, 'timeOf' | 'siteDayOf'>;
  show: UnitDisplay;
}

/** The messages for a reader. */
export function sayTo({ language, place }: Pick<Reader, 'language' | 'place'>): Say {
  return sayIn(language, place);
}

export function stageWords(stage: StageName, say: Say): string {
  return say(`stage.${stage}`);
}

/** Why a cycle stands where it stands. */
export function sayReason(reason: Reason, reader: Omit<Reader, 'clock'> & TellsTime): string {
  const { clock, show } = reader;
  const say = sayTo(reader);
  switch (reason.code) {
    case 'kept':
    case 'first_of_day':
      return say(`reason.${reason.code}`);
    case 'asked_for':
      return say('reason.asked_for', { who: reason.who, at: clock.timeOf(reason.atMs) });
    case 'store_at_reserve':
      return say('reason.store_at_reserve', { at: clock.timeOf(reason.atMs) });
    case 'last_of_day':
      return say('reason.last_of_day', { at: clock.timeOf(reason.untilMs) });
    case 'before_keep_off':
      return say('reason.before_keep_off', {
        what: sayKeepOffCause(reason, say),
        at: clock.timeOf(reason.startMs),
      });
    case 'after_keep_off':
      return say('reason.after_keep_off', {
        what: sayKeepOffCause(reason, say),
        at: clock.timeOf(reason.endMs),
      });
    case 'earlier_for_supply':
    case 'later_for_supply':
      return say(`reason.${reason.code}`, {
        minutes: reason.minutes,
        limit: sayLimit(reason.limit, say),
      });
    case 'earlier_for_day':
    case 'earlier_for_lull':
    case 'earlier_as_before':
    case 'earlier_to_level':
      return say(`reason.${reason.code}`, { minutes: reason.minutes });
    case 'rested_first':
      return say('reason.rested_first', { minutes: reason.restMin });
    case 'least_cycles':
      return say('reason.least_cycles', { cycles: reason.cycles });
    case 'rotation_exceeds_store':
    case 'for_driest':
      return say(`reason.${reason.code}`, { depth: show.depth(reason.wasteMm) });
    case 'held_at_cap':
      return say('reason.held_at_cap', { depth: show.depth(reason.capMm) });
    case 'night_water':
      return say('reason.night_water', { exception: say(`night.${reason.exception}`) });
  }
}

interface TellsTime {
  clock: Pick<SiteClock, 'timeOf'>;
}

/** A supply limit, as what binds. */
function sayLimit(limit: SupplyLimit, say: Say): string {
  return limit.kind === 'main' || limit.kind === 'lateral'
    ? say(`limit.${limit.kind}`, { id: limit.id })
    : say(`limit.${limit.kind}`);
}

/** What keeps water off: a person's own words where one has booked it. */
function sayKeepOffCause({ kind, why, who = '' }: KeepOffCause, say: Say): string {
  return kind === undefined ? why : say(`keep_off.${kind}`, { who, why });
}

/** What stands in the way of a short bed, and what would help. */
export function sayShortageCause(
  shortage: Pick<Shortage, 'cause' | 'remedy'>,
  reader: Pick<Reader, 'language'> & TellsTime,
): string {
  // A plan of before has it in words.
  const before = wordedBefore(shortage, 'because');
  if (before !== null) return before;
  const say = sayTo(reader);
  const { remedy } = shortage;
  const cause = sayCause(shortage.cause, say, reader);
  if (remedy === null) return cause;
  const change = sayChange(remedy.change, say);
  return remedy.isCure
    ? say('remedy.cure', { cause, change })
    : say('remedy.help', { cause, change, minutes: remedy.savedMin });
}

function sayCause(cause: ShortageCause, say: Say, { clock }: TellsTime): string {
  switch (cause.kind) {
    case 'rest':
    case 'reserve_only':
    case 'no_cycle_helps':
      return say(`cause.${cause.kind}`);
    case 'keep_off':
      return say('cause.keep_off', {
        what: sayKeepOffCause(cause.off, say),
        at: clock.timeOf(cause.endMs),
      });
    case 'before_hours':
      return say('cause.before_hours', { at: clock.timeOf(cause.firstStartMs) });
    case 'day_over':
      return say('cause.day_over', { at: clock.timeOf(cause.lastEndMs) });
    default:
      return sayLimit(cause, say);
  }
}

function sayChange(change: RemedyChange, say: Say): string {
  switch (change.kind) {
    case 'keep_off_later':
    case 'keep_off_earlier':
      return say(`change.${change.kind}`, { what: change.why, minutes: change.minutes });
    case 'first_start_earlier':
    case 'last_end_later':
      return say(`change.${change.kind}`, { minutes: change.minutes });
    case 'one_more_station':
      return say('change.one_more_station');
    case 'larger_allowance':
    case 'stronger_pump':
      return say(`change.${change.kind}`, { pct: change.byPct });
  }
}

export function windChoiceWords(choice: WindChoice, say: Say): string {
  return say(`wind.${choice}`);
}

/** What is asked about the wind. */
export function sayWindQuestion(
  { fromMs, toMs, bedIds }: WindQuestion,
  reader: Pick<Reader, 'language'> & TellsTime,
): string {
  const { timeOf } = reader.clock;
  return sayTo(reader)('wind.question', {
    from: timeOf(fromMs),
    to: timeOf(toMs),
    beds: bedIds.length,
  });
}

/** Who answered what, and when. */
export function sayWindAnswer(
  { choice, who, atMs }: NonNullable<WindQuestion['answered']>,
  reader: Pick<Reader, 'language'> & TellsTime,
): string {
  const say = sayTo(reader);
  const answer = windChoiceWords(choice, say).toLowerCase();
  return say('wind.answered', { who, at: reader.clock.timeOf(atMs), answer });
}

/** Each answer with its cost, and whether the plan is laid so. */
export function windAnswers(
  question: WindQuestion,
  reader: Pick<Reader, 'language' | 'show'>,
): { choice: WindChoice; words: string; isPlanned: boolean; cost: WindAnswer; line: string }[] {
  const say = sayTo(reader);
  const planned = question.answered?.choice ?? 'run_anyway';
  const one = (choice: WindChoice, cost: WindAnswer) => {
    const words = windChoiceWords(choice, say);
    const isPlanned = choice === planned;
    const costs = sayCosts(cost, say, reader);
    const line = say(isPlanned ? 'wind.answer_planned' : 'wind.answer', { words, costs });
    return { choice, words, isPlanned, cost, line };
  };
  return [
    one('run_anyway', question.runAnyway),
    one('skip', question.skip),
    one('shorter_and_oftener', question.shorterAndOftener),
  ];
}

function sayCosts(
  { cycles, driftMm, minutesBelowDryLimit: minutes, isAtMost = false }: WindAnswer,
  say: Say,
  { show }: Pick<Reader, 'show'>,
): string {
  const values = { cycles, depth: show.depth(driftMm), minutes };
  return say(isAtMost ? 'wind.costs_at_most' : 'wind.costs', values);
}

/** The question, or who answered what, with each answer's cost. */
export function sayWind(question: WindQuestion, reader: Reader): string {
  const { answered } = question;
  return [
    sayWindQuestion(question, reader),
    ...(answered === undefined ? [] : [sayWindAnswer(answered, reader)]),
    ...windAnswers(question, reader).map(({ line }) => line),
  ].join(' ');
}

/** The words that a plan of the first format carries itself; null: it has codes. */
export function wordedBefore(value: object, key: 'because' | 'text' | 'rule'): string | null {
  const words = (value as Partial<Record<typeof key, unknown>>)[key];
  return typeof words === 'string' ? words : null;
}

/** The name of a bed in a plan. */
export function bedName(plan: Pick<DayPlan, 'beds'>, bedId: string): string {
  return plan.beds.find((bed) => bed.bedId === bedId)?.name ?? bedId;
}

/** Whom a site's plans are told to; English where no language is asked for. */
export function readerOf(given: {
  clock: SiteClock;
  units: DisplayUnits;
  language?: Language;
  place?: Place;
}): Reader {
  const { clock, units, language = 'en', place = 'command' } = given;
  return { language, place, clock, show: display(units) };
}

/** Whom alerts and the stops of the daemon itself are told to: the site's people, wherever they read it. */
export function alertReader(config: Omit<Parameters<typeof readerOf>[0], 'place'>): Reader {
  return readerOf({ ...config, place: 'anywhere' });
}

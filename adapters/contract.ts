import { z } from 'zod';
import type { DayPlan, Reason } from '../calc/schedule/day-plan.ts';
import type { StandingCycle } from '../calc/schedule/leeway-change.ts';
import type { Run } from '../calc/schedule/run.ts';
import type { DisplayUnits } from './display-units.ts';
import type { SiteClock } from './site-clock.ts';

declare const confirmedBrand: unique symbol;

/** Who confirmed, when, and which cautions were ticked. */
export interface Confirmation {
  /** Name as the person gave it. */
  who: string;
  atMs: number;
  /** Codes of the cautions that the person ticked. */
  cautions: string[];
}

/**
 * A plan that a person confirmed. The brand cannot be written outside the gate: outputs accept
 * nothing else, so an unconfirmed plan does not compile into a delivery.
 */
export interface ConfirmedPlan {
  readonly [confirmedBrand]: true;
  readonly plan: DayPlan;
  /** SHA-256, hex, over the canonical JSON of the plan's document as the person confirmed it. */
  readonly digest: string;
  readonly confirmation: Confirmation;
  /**
   * Beds that a hold has taken out since the confirm: none of their runs may start. Taking water
   * out needs no new confirm, so the digest stays that of the confirmed plan.
   */
  readonly heldBedIds: readonly string[];
  /**
   * The day's cycles as they stand now, where the person confirmed the plan with its leeway and the
   * daemon has used it; left out: as laid. The digest stays that of the confirmed plan.
   */
  readonly change?: DayChange;
}

/** A plan's cycles changed within its leeway. */
export interface DayChange {
  /** Grows with each change of the confirmed plan, from 1. */
  number: number;
  atMs: number;
  /** What has begun among them, as it began. */
  cycles: readonly StandingCycle[];
}

/** A hold as an output hears it. */
export interface Withdrawal {
  siteId: string;
  siteDay: string;
  /** `all`, or the beds that the hold takes out. */
  beds: 'all' | readonly string[];
  who: string;
  why: string;
  atMs: number;
  /** What still stands of the plan in force, or null when nothing does. */
  remaining: ConfirmedPlan | null;
}

/**
 * What became of an order, never a guess: `accepted` means that the receiver or the medium has it,
 * `rejected` that it refused it and trying again as is will not help, `unknown` that nobody can
 * say (a time-out, a broken connection): the daemon tries again under the same order id.
 */
export type Answer =
  | { kind: 'accepted'; detail: string }
  | { kind: 'rejected'; detail: string }
  | { kind: 'unknown'; detail: string };

/** What the store wants to stand at an output: its newest order there. */
export type Wanted =
  | { kind: 'deliver'; orderId: string; confirmed: ConfirmedPlan }
  | { kind: 'withdraw'; orderId: string; withdrawal: Withdrawal };

/** A stop as an order at the receiver's side tells of it. */
export interface FoundStop {
  who: string;
  why: string;
  atMs: number;
  beds: 'all' | string[];
}

/** An order as it was found at the receiver's side, whoever put it there. */
export interface FoundOrder {
  orderId: string;
  /** Runs that it would still begin. */
  runsAhead: number;
  /** The stop that it tells of; null when it tells of none. */
  stop: FoundStop | null;
}

/**
 * What stands at the receiver's side when it is read back: never what was written and believed.
 * `unseen` means that nobody could look.
 */
export type Found =
  | { kind: 'as_wanted' }
  | { kind: 'nothing'; detail: string }
  | { kind: 'other'; detail: string; order: FoundOrder | null }
  | { kind: 'unseen'; detail: string };

/** A person's stop as it goes to an output without the store. */
export interface StopNow {
  /** Grows with every stop of a process. */
  stopNo: number;
  beds: 'all' | readonly string[];
  who: string;
  why: string;
  atMs: number;
}

/** What comes back from the field through an output: never able to confirm anything. */
export type FieldReport =
  | {
      kind: 'receipt';
      output: string;
      orderId: string;
      answer: Answer['kind'];
      detail: string;
      atMs: number;
    }
  | {
      kind: 'ran';
      output: string;
      stationId: string;
      startMs: number;
      runS: number;
      /** Mean measured flow of the run; null when the receiver does not measure it. */
      flowLPerMin: number | null;
      atMs: number;
    };

/** Minimal logger, so that adapters depend on no logging library. */
export interface AdapterLog {
  info(fields: object, message: string): void;
  warn(fields: object, message: string): void;
  error(fields: object, message: string): void;
}

/** What has become of one run at an output that sends run by run. */
export interface RunEvent {
  runId: string;
  orderId: string;
  /** `claimed` stands right before the sending; what the receiver's medium said comes after it. */
  what: 'claimed' | 'missed' | Answer['kind'];
  detail: string;
}

/**
 * What an output that sends run by run must know over restarts. The daemon keeps it; each function
 * throws when the memory cannot be had, and then nothing may be sent.
 */
export interface RunMemory {
  /** Whether the run was claimed or missed before, in this life or an earlier one. */
  has(runId: string): boolean;
  /** On disk when it returns. A second `claimed` or `missed` of a run throws. */
  add(event: RunEvent): void;
  /** The order that this output took last, as it stands now; null when nothing of it may run. */
  standing(): { orderId: string; confirmed: ConfirmedPlan } | null;
}

/** What the daemon gives to an output when it makes it. */
/** What became of a stop at one output. */
export interface StoppedAt {
  output: string;
  answer: Answer;
}

/** Where the plan on a card stands; a card that is not confirmed must not be taken for one. */
export type CardState =
  | { kind: 'held' }
  | { kind: 'confirmed'; who: string; atMs: number; heldBedIds: readonly string[] }
  | { kind: 'partly_held'; who: string; why: string; atMs: number; heldBedIds: readonly string[] };

/** What stands on the card of a day. */
export interface CardFacts {
  plan: DayPlan;
  digest: string;
  state: CardState;
  /** What may start, or would start when confirmed, in order of time. */
  runs: readonly Run[];
  /** Runs of cycles that had begun before the confirm, in order of time. */
  missed?: readonly Run[];
  /** The last change within its leeway; left out: as laid. */
  change?: Pick<DayChange, 'number' | 'atMs'>;
}

/** Puts what a plan holds as codes and numbers on paper, in somebody's words. */
export interface Paper {
  card(facts: CardFacts): string;
  /** The card of a day on which nothing may start. */
  emptyCard(given: Pick<Withdrawal, 'siteId' | 'siteDay' | 'who' | 'why' | 'atMs'>): string;
  reason(reason: Reason): string;
}

export interface OutputContext {
  siteId: string;
  clock: SiteClock;
  /** Units of what a person reads (the card); what machines read is metric. */
  units: DisplayUnits;
  /** Paper in a language, in such units. */
  paper(language: Language, units: DisplayUnits): Paper;
  log: AdapterLog;
  /** Folder that relative paths in the config start from. */
  baseFolder: string;
  /** Epoch milliseconds; passed in so that tests steer time. */
  now(): number;
  /** Most stations that the site may have open at once. */
  stationsAtOnce: number;
  /** The memory of runs of the output of this name. */
  runMemory(output: string): RunMemory;
  /** Takes reports from the field; must not throw. */
  report(report: FieldReport): void;
}

/**
 * A way out for confirmed plans. `create` only assigns; `start` begins to connect and returns
 * without waiting for a peer that is away; `deliver` and `withdraw` may be repeated with the same
 * order id and take effect once; `stop` may be called twice.
 */
export interface Output {
  readonly name: string;
  start(): Promise<void>;
  deliver(orderId: string, confirmed: ConfirmedPlan): Promise<Answer>;
  withdraw(orderId: string, withdrawal: Withdrawal): Promise<Answer>;
  /**
   * Reads back what stands at the receiver's side and holds it against what is wanted; null: nothing
   * is known of any order. Where they differ, the wanted order may be asked again and takes effect
   * again. Must not throw.
   */
  find(wanted: Wanted | null): Promise<Found>;
  /** True where an order stays at the receiver's side beyond its end: it has to be taken away. */
  readonly keepsPastOrders?: boolean;
  /** Passes news on to whoever listens; an output that cannot has none of it. Must not throw. */
  tell?(news: Alert): Promise<Answer>;
  /** Whether the way out is open now, in words for the status. */
  health(): { ok: boolean; detail: string };
  stop(): Promise<void>;
}

/** An output that can be stopped without the store, by itself and before anything else. */
export interface StoppableOutput extends Output {
  /**
   * Takes the water of these beds out at once, from what this output itself put there last; where
   * that is not known, of every bed. Goes on trying until it is so. Until the store knows of the
   * stop, nothing that waters is delivered.
   *
   * @returns What became of it, as far as it is known after two seconds at the latest.
   */
  stopNow(asked: StopNow): Promise<Answer>;
  /** The store knows of every stop up to this one: orders that come from now on heed them. */
  storeKnows(stopNo: number): void;
}

/** Everything that the daemon tells of itself, to whoever listens: a closed list. */
export const ALERT_KINDS = [
  'morning_plan',
  'plan_held',
  'notice_risen',
  'field_fault',
  'hold_reminder',
  'away',
] as const;

export type AlertKind = (typeof ALERT_KINDS)[number];

/** Something that people should hear of now. It can tell and do nothing else. */
export interface Alert {
  /** The same however often it is told. */
  newsId: string;
  kind: AlertKind;
  siteId: string;
  siteDay: string;
  atMs: number;
  /** One plain sentence or two. */
  text: string;
  /** The plan that it speaks of; null when it speaks of none. */
  revision: number | null;
  digest: string | null;
}

/** News as other programs read it. */
export function alertDocument(news: Alert, isoOf: (instantMs: number) => string) {
  return {
    format: 'dewbeat-news',
    format_version: 1,
    news_id: news.newsId,
    kind: news.kind,
    site_id: news.siteId,
    site_day: news.siteDay,
    at: isoOf(news.atMs),
    text: news.text,
    revision: news.revision,
    digest: news.digest,
  } as const;
}

/** Languages in which people are spoken to. */
export const LANGUAGES = ['en', 'es'] as const;

export type Language = (typeof LANGUAGES)[number];

/** Whether what stands behind an output can be changed through the day. */
export const takesChangesSchema = z.boolean().default(true).meta({
  description:
    'Whether its receiver takes a changed order through the day; false on any output: plans run as laid.',
});

/** Name of an output in the status, the log and the config's messages. */
export const outputNameSchema = z
  .string()
  .regex(/^[A-Za-z0-9][A-Za-z0-9_.-]{0,39}$/, {
    error: (issue) =>
      `is no name (got ${String(issue.input)}); use up to 40 letters, digits, dashes, dots or underscores, beginning with a letter or digit`,
  })
  .meta({ description: 'Name of this output; needed when two of a kind are declared.' });

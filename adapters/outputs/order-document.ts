import type { Run } from '../../calc/schedule/run.ts';
import type {
  Answer,
  ConfirmedPlan,
  Found,
  FoundOrder,
  FoundStop,
  Wanted,
  Withdrawal,
} from '../contract.ts';
import { type Json, planDocument, standingRuns } from '../plan-document.ts';
import type { SiteClock } from '../site-clock.ts';

/** What a receiver gets: which runs may start, and the proof that a person confirmed them. */
export interface OrderPayload {
  format: 'dewbeat-order';
  format_version: 1;
  /** The same order under the same id takes effect once. */
  order_id: string;
  site_id: string;
  site_day: string;
  /** After this nothing of the order may start. */
  valid_until: string;
  /** SHA-256 over the canonical JSON of `plan`; null when nothing stands. */
  digest: string | null;
  confirmation: { who: string; at: string; cautions: string[] } | null;
  held_beds: string[];
  /** How often the day has been changed within the leeway that was confirmed, and when last; null: as laid. */
  change: { number: number; at: string } | null;
  /** Who took water out of the plan in force, when and why; null when nobody did. */
  withdrawn: { who: string; at: string; why: string; everything: boolean; beds: string[] } | null;
  /** What may actually start. A run whose start has passed is not to be made up for. */
  runs: Json[];
  /** The plan as it was confirmed, unchanged, so that the digest can be worked out again. */
  plan: Json;
  [key: string]: Json;
}

export function deliveryPayload(given: {
  orderId: string;
  confirmed: ConfirmedPlan;
  clock: SiteClock;
}): OrderPayload {
  const { confirmed, clock } = given;
  const { plan, confirmation, change } = confirmed;
  return {
    format: 'dewbeat-order',
    format_version: 1,
    order_id: given.orderId,
    site_id: plan.siteId,
    site_day: plan.siteDay,
    valid_until: clock.isoOf(plan.endMs),
    digest: confirmed.digest,
    confirmation: {
      who: confirmation.who,
      at: clock.isoOf(confirmation.atMs),
      cautions: [...confirmation.cautions],
    },
    held_beds: [...confirmed.heldBedIds],
    change: change === undefined ? null : { number: change.number, at: clock.isoOf(change.atMs) },
    withdrawn: null,
    runs: standingRuns(confirmed).map((run) => runToWire(run, clock)),
    plan: planDocument(plan, clock),
  };
}

/**
 * What a withdrawal leaves: the remaining runs, or an explicit nothing. An absent file or message
 * could be a fault; an empty order says that somebody meant it.
 */
export function withdrawalPayload(given: {
  orderId: string;
  withdrawal: Withdrawal;
  clock: SiteClock;
}): OrderPayload {
  const { orderId, withdrawal, clock } = given;
  const everything = withdrawal.beds === 'all' || withdrawal.remaining === null;
  const withdrawn = {
    who: withdrawal.who,
    at: clock.isoOf(withdrawal.atMs),
    why: withdrawal.why,
    everything,
    beds: withdrawal.beds === 'all' ? [] : [...withdrawal.beds],
  };
  const standing = standingAfter(withdrawal);
  if (standing !== null) {
    return { ...deliveryPayload({ orderId, confirmed: standing, clock }), withdrawn };
  }
  return {
    format: 'dewbeat-order',
    format_version: 1,
    order_id: orderId,
    site_id: withdrawal.siteId,
    site_day: withdrawal.siteDay,
    valid_until: clock.isoOf(endOfSiteDayMs(withdrawal.siteDay, clock)),
    digest: null,
    confirmation: null,
    held_beds: [],
    change: null,
    withdrawn,
    runs: [],
    plan: null,
  };
}

/** What has to stand at a receiver for an order: the same order gives the same bytes. */
export function wantedText(wanted: Wanted, clock: SiteClock): string {
  const { orderId } = wanted;
  return JSON.stringify(
    wanted.kind === 'deliver'
      ? deliveryPayload({ orderId, confirmed: wanted.confirmed, clock })
      : withdrawalPayload({ orderId, withdrawal: wanted.withdrawal, clock }),
  );
}

/**
 * What still stands after a withdrawal. A hold on everything leaves nothing whatever `remaining`
 * says, and a bed that the hold names stays out even if `remaining` forgot it: between two
 * readings the drier one is safe.
 */
export function standingAfter(withdrawal: Withdrawal): ConfirmedPlan | null {
  const { beds, remaining } = withdrawal;
  if (beds === 'all' || remaining === null) return null;
  return { ...remaining, heldBedIds: [...new Set([...remaining.heldBedIds, ...beds])] };
}

function endOfSiteDayMs(siteDay: string, clock: SiteClock): number {
  const day = siteDay as ReturnType<SiteClock['siteDayOf']>;
  return clock.startOf(clock.addDays(day, 1));
}

function runToWire(run: Run, clock: SiteClock): Json {
  return {
    bed_id: run.bedId,
    station_id: run.stationId,
    start: clock.isoOf(run.startMs),
    run_s: Math.round(run.runS),
    rotations: run.rotations,
    gross_mm: Math.round(run.grossMm * 1000) / 1000,
    net_mm: Math.round(run.netMm * 1000) / 1000,
    cycle: run.cycle,
  };
}

/** A refusal when the plan's day is over: delivered late it would only mislead. Otherwise null. */
export function refusalWhenOver(
  { plan }: ConfirmedPlan,
  { where, nowMs, clock }: { where: string; nowMs: number; clock: SiteClock },
): Answer | null {
  if (nowMs < plan.endMs) return null;
  return {
    kind: 'rejected',
    detail: `${where}: the plan is over (got ${clock.isoOf(plan.endMs)} as its end); make a plan for today`,
  };
}

/** Far above any order: what is larger is none of ours. */
export const MOST_ORDER_BYTES = 32 * 2 ** 20;

const MOST_TEXT = 200;

/**
 * Reads what stands at a receiver as an order, whoever put it there; null when it is none. Nothing
 * of it is believed but that it stands there: it never makes water run.
 *
 * @param nowMs Runs that begin before this are past.
 */
export function readFoundOrder(text: string, nowMs: number): FoundOrder | null {
  let value: unknown;
  try {
    value = JSON.parse(text);
  } catch {
    return null;
  }
  if (!isMap(value)) return null;
  const { format, order_id: orderId, runs, withdrawn } = value;
  if (format !== 'dewbeat-order') return null;
  if (typeof orderId !== 'string' || !Array.isArray(runs)) return null;
  const ahead = runs.filter((run) => !(isMap(run) && writtenInstantMs(run['start']) < nowMs));
  return { orderId: short(orderId), runsAhead: ahead.length, stop: stopOf(withdrawn) };
}

/** Holds a text that stands at a receiver against the wanted one. */
export function compareWithWanted(
  found: string | null,
  wanted: string | null,
  { where, nowMs }: { where: string; nowMs: number },
): Found {
  if (found === null) return { kind: 'nothing', detail: `${where}: no order stands there` };
  if (found === wanted) return { kind: 'as_wanted' };
  const order = readFoundOrder(found, nowMs);
  const what = order === null ? 'something that is no order' : `order ${order.orderId}`;
  return { kind: 'other', detail: `${where}: ${what} stands there`, order };
}

function stopOf(withdrawn: unknown): FoundStop | null {
  if (!isMap(withdrawn)) return null;
  const { who, why, at, everything, beds } = withdrawn;
  const atMs = writtenInstantMs(at);
  if (typeof who !== 'string' || typeof why !== 'string' || Number.isNaN(atMs)) return null;
  const named = Array.isArray(beds) ? beds.filter((bed) => typeof bed === 'string') : [];
  // A stop that cannot be read to the end is one of everything: the drier reading is safe.
  const all = everything !== false || named.length === 0;
  return { who: short(who), why: short(why), atMs, beds: all ? 'all' : named };
}

function writtenInstantMs(value: unknown): number {
  return typeof value === 'string' ? Date.parse(value) : Number.NaN;
}

function isMap(value: unknown): value is Record<string, unknown> {
  return typeof value === 'object' && value !== null && !Array.isArray(value);
}

function short(text: string): string {
  return text.length > MOST_TEXT ? `${text.slice(0, MOST_TEXT)}...` : text;
}

import type { Found, FoundOrder, FoundStop } from '../contract.ts';

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
  const ahead = runs.filter((run) => !(isMap(run) && instantOf(run['start']) < nowMs));
  return { orderId: short(orderId), runsAhead: ahead.length, stop: stopOf(withdrawn) };
}

/** Holds a text that stands at a receiver against the wanted one. */
export function judgeText(
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
  const atMs = instantOf(at);
  if (typeof who !== 'string' || typeof why !== 'string' || Number.isNaN(atMs)) return null;
  const named = Array.isArray(beds) ? beds.filter((bed) => typeof bed === 'string') : [];
  // A stop that cannot be read to the end is one of everything: the drier reading is safe.
  const all = everything !== false || named.length === 0;
  return { who: short(who), why: short(why), atMs, beds: all ? 'all' : named };
}

function instantOf(value: unknown): number {
  return typeof value === 'string' ? Date.parse(value) : Number.NaN;
}

function isMap(value: unknown): value is Record<string, unknown> {
  return typeof value === 'object' && value !== null && !Array.isArray(value);
}

function short(text: string): string {
  return text.length > MOST_TEXT ? `${text.slice(0, MOST_TEXT)}...` : text;
}

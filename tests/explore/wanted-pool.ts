import type { Found, Wanted } from '../../adapters/contract.ts';
import {
  compareWithWanted,
  readFoundOrder,
  standingAfter,
  wantedText,
} from '../../adapters/outputs/order-document.ts';
import { standingRuns } from '../../adapters/plan-document.ts';
import type { Run } from '../../calc/schedule/run.ts';
import { CLOCK, PHASES_MS } from './fixed-days.ts';

/** What can stand at a place: the text of an order, known by a number. */
export interface Text {
  no: number;
  orderId: string;
  text: string;
  /** What was asked; null for what no daemon has asked. */
  wanted: Wanted | null;
  runs: readonly Pick<Run, 'bedId' | 'startMs'>[];
}

const byKey = new Map<string, Text>();
const byNo: Text[] = [];
/** Nothing stands, or nothing is wanted. */
export const NONE = -1;

/** The text that an order has at its receiver, as the outputs write it. */
export function textOf(wanted: Wanted): Text {
  const key = keyOf(wanted);
  const known = byKey.get(key);
  if (known !== undefined) return known;
  const text = wantedText(wanted, CLOCK);
  const left = wanted.kind === 'deliver' ? wanted.confirmed : standingAfter(wanted.withdrawal);
  const runs = left === null ? [] : standingRuns(left);
  return keep(key, { orderId: wanted.orderId, text, wanted, runs });
}

/** An order that nobody of the daemon has made: runs of its own, on every bed. */
export function forgedText(like: Text): Text {
  const key = `forged ${like.no}`;
  const known = byKey.get(key);
  if (known !== undefined) return known;
  const order = JSON.parse(like.text) as { order_id: string; runs: { start: string }[] };
  order.order_id = 'forged';
  order.runs = order.runs.map((run) => ({ ...run, start: run.start.replace(':00:00', ':30:00') }));
  const runs = like.runs.map((run) => ({ ...run, startMs: run.startMs + 30 * 60_000 }));
  return keep(key, { orderId: 'forged', text: JSON.stringify(order), wanted: null, runs });
}

export function textNo(no: number): Text {
  const found = byNo[no];
  if (found === undefined) throw new RangeError(`text: there is none of this number (got ${no})`);
  return found;
}

export function wantedNo(no: number): Wanted | null {
  return no === NONE ? null : textNo(no).wanted;
}

/** Runs of a text that are still to begin. */
export function runsAhead(no: number, nowMs: number): readonly Pick<Run, 'bedId' | 'startMs'>[] {
  return no === NONE ? [] : textNo(no).runs.filter((run) => run.startMs >= nowMs);
}

const judged = new Map<number, Found>();
const MOST_TEXTS = 8192;

/** What reading back shows where a text stands and another, or the same, is wanted. */
export function foundAt(standing: number, wanted: number, phase: number): Found {
  const key = ((phase * MOST_TEXTS + standing + 1) * MOST_TEXTS + wanted + 1) | 0;
  const known = judged.get(key);
  if (known !== undefined) return known;
  const found = compareWithWanted(
    standing === NONE ? null : textNo(standing).text,
    wanted === NONE ? null : textNo(wanted).text,
    { where: 'out', nowMs: PHASES_MS[phase] ?? 0 },
  );
  judged.set(key, found);
  return found;
}

function keep(key: string, text: Omit<Text, 'no'>): Text {
  if (readFoundOrder(text.text, 0) === null) throw new Error(`${key}: is not read as an order`);
  const kept = { no: byNo.length, ...text };
  if (kept.no + 2 >= MOST_TEXTS) throw new Error('text: more of them than were reckoned with');
  byNo.push(kept);
  byKey.set(key, kept);
  return kept;
}

function keyOf(wanted: Wanted): string {
  const { kind, orderId } = wanted;
  if (kind === 'deliver') return `d ${orderId} ${standingKey(wanted.confirmed)}`;
  const { beds, atMs, remaining } = wanted.withdrawal;
  return `w ${orderId} ${atMs} ${beds} ${remaining === null ? '' : standingKey(remaining)}`;
}

function standingKey({
  digest,
  heldBedIds,
  confirmation,
}: NonNullable<ReturnType<typeof standingAfter>>): string {
  return `${digest.slice(0, 12)} ${confirmation.atMs} ${heldBedIds.join('+')}`;
}

import type { Answer, Output, Wanted } from '../../adapters/contract.ts';
import type { SiteClock } from '../../adapters/site-clock.ts';
import { holdBehind, standingPlan, whyNothingStands } from '../site/gate/gate.ts';
import { changeNumberOf } from '../site/gate/order-id.ts';
import { addAuditEntry, DAEMON } from '../site/store/audit-log.ts';
import { type Db, inTransaction } from '../site/store/database.ts';
import {
  addAttempt,
  deliveryOf,
  lastOutboxPosition,
  newestOrders,
  type OrderState,
  openOrders,
} from '../site/store/outbox.ts';
import { refuseGone } from '../site/store/store-faults.ts';
import { within } from '../within.ts';
import { sayNothingStands } from '../words/confirm-words.ts';
import type { Say } from '../words/language.ts';
import { logReader } from '../words/told.ts';
import {
  type Delivered,
  type DeliveryMemory,
  orderKey,
  type Unwritten,
  type UnwrittenHolds,
  writeHolds,
} from './delivery-memory.ts';
import { nextStep, type OrderStep, wantedFrom } from './order-decisions.ts';

/** What a round of deliveries works with. */
export interface DeliveryContext {
  db: Db;
  siteId: string;
  clock: SiteClock;
  outputs: ReadonlyMap<string, Output>;
  /** Where each output writes to, by its name; left out: it is not looked at. */
  places?: ReadonlyMap<string, string>;
  now(): number;
  /** Whether somebody reads back what stands at the outputs, and has to have done so first. */
  looksFirst?: boolean;
  /** Puts into words what goes to an output; left out: English. */
  say?: Say;
  /** Kept from round to round. */
  memory: DeliveryMemory;
  /** Holds that the store has refused so far; left out: none. */
  unwrittenHolds?: UnwrittenHolds;
}

/** A round waits this long for answers; those that come later are told by a later round. */
const ROUND_PATIENCE_MS = 2_000;
/**
 * While it waits, it looks this often whether something newer is owed. With the half second between
 * two rounds a hold is out within a second, whatever hangs.
 */
const LOOK_UP_MS = 200;
/** After this nobody knows any more what became of an order: longer than any output's own time-out. */
const ANSWER_PATIENCE_MS = 150_000;

/**
 * Sends what is owed and due now, each output's newest order, and writes down every answer.
 *
 * Outputs do not wait for each other, nor a hold for a delivery that is still under way. When the
 * database refuses an answer, the answer is kept and offered again, and until it is taken nothing
 * is delivered: starting water needs a memory of it. Withdrawals go out all the same, because
 * stopping is always allowed.
 *
 * @returns The answers since the last round; an empty list when there are none.
 */
export async function deliverOutbox(context: DeliveryContext): Promise<Delivered[]> {
  const { db, now, memory } = context;
  offerAgain(context, memory);
  const newest = new Map(newestOrders(db).map((order) => [order.output, order.orderId]));
  const sends: Promise<void>[] = [];
  for (const order of holdsBeforeDeliveries(openOrders(db))) {
    const key = orderKey(order);
    if (memory.underWay.has(key)) continue;
    const isLookedAt = !context.looksFirst || memory.lookedAt.has(order.output);
    const facts = {
      isStoreWell: memory.storeFault === null,
      isLookedAt,
      waters: isLookedAt || leavesWater(wantedOf(context, order)),
      unwritten: memory.unwritten.get(key) ?? null,
    };
    if (waits(order, facts, now())) continue;
    const step = nextStep(order, {
      newestOrderId: newest.get(order.output) ?? order.orderId,
      place: context.places?.get(order.output) ?? null,
      nowMs: now(),
    });
    if (step.do === 'end') end(context, memory, order, step);
    if (step.do !== 'send') continue;
    const sending = send(context, memory, order).finally(() => memory.underWay.delete(key));
    memory.underWay.set(key, sending);
    sends.push(sending);
  }
  await answersOrNews(db, sends);
  return memory.answered.splice(0);
}

/** Waits for the answers, but not once something newer is owed: a hold waits for nobody. */
async function answersOrNews(db: Db, sends: readonly Promise<void>[]): Promise<void> {
  const all = Promise.all(sends);
  const lastPlace = lastOutboxPosition(db);
  for (let waitedMs = 0; waitedMs < ROUND_PATIENCE_MS; waitedMs += LOOK_UP_MS) {
    const { ended } = await within(all, LOOK_UP_MS);
    if (ended || lastOutboxPosition(db) !== lastPlace) return;
  }
}

function holdsBeforeDeliveries(orders: OrderState[]): OrderState[] {
  return orders.toSorted((a, b) => Number(a.kind === 'deliver') - Number(b.kind === 'deliver'));
}

/** Writes what the database refused before; stops at the first that it still refuses. */
function offerAgain(context: DeliveryContext, memory: DeliveryMemory): void {
  const { unwrittenHolds = [], outputs } = context;
  try {
    refuseGone(context.db);
    writeHolds(unwrittenHolds, { ...context, outputs: [...outputs.keys()] });
    for (const [key, { order, answer, atMs }] of memory.unwritten) {
      writeDown(context, order, answer, atMs);
      memory.unwritten.delete(key);
    }
    memory.storeFault = null;
  } catch (error) {
    memory.storeFault = messageOf(error);
  }
}

/** Whether anything may start by an order. Pure. */
export function leavesWater(wanted: Wanted | null): boolean {
  return wanted?.kind === 'deliver' || wanted?.withdrawal.remaining != null;
}

/**
 * Whether an order has to wait. Pure.
 *
 * Whatever waters waits until its output was looked at, the rest of a plan behind a stop as well: a
 * stop may stand there of which nobody else knows. A delivery waits while the database refuses; a
 * withdrawal is only not asked again for a while when the database has refused its last answer.
 */
export function waits(
  order: OrderState,
  facts: {
    isStoreWell: boolean;
    isLookedAt: boolean;
    waters: boolean;
    unwritten: Unwritten | null;
  },
  nowMs: number,
): boolean {
  const { isStoreWell, isLookedAt, waters, unwritten } = facts;
  const isDelivery = order.kind === 'deliver';
  if (!isLookedAt && (isDelivery || waters)) return true;
  if (isDelivery) return !isStoreWell;
  if (isStoreWell || unwritten === null) return false;
  return unwritten.answer.kind !== 'unknown' || nowMs < unwritten.atMs + REFUSED_WAIT_MS;
}

const REFUSED_WAIT_MS = 10_000;

/** Where the database refuses that an order has come to its end, no hold behind it waits for that. */
function end(
  { db, now }: DeliveryContext,
  memory: DeliveryMemory,
  order: OrderState,
  { as, why }: Extract<OrderStep, { do: 'end' }>,
): void {
  if (memory.storeFault !== null) return;
  try {
    addAttempt(db, { ...order, atMs: now(), answer: as, detail: why });
  } catch (error) {
    memory.storeFault = messageOf(error);
  }
}

async function send(
  context: DeliveryContext,
  memory: DeliveryMemory,
  order: OrderState,
): Promise<void> {
  const output = context.outputs.get(order.output);
  const answer: Answer =
    output === undefined
      ? { kind: 'unknown', detail: 'this output is not in the config now' }
      : await ask(context, output, order);
  const atMs = context.now();
  memory.answered.push({ order, answer });
  try {
    writeDown(context, order, answer, atMs);
  } catch (error) {
    memory.storeFault = messageOf(error);
    memory.unwritten.set(orderKey(order), { order, answer, atMs });
  }
}

async function ask(context: DeliveryContext, output: Output, order: OrderState): Promise<Answer> {
  try {
    const answer = await within(put(context, output, order), ANSWER_PATIENCE_MS);
    if (answer.ended) return answer.value;
    return { kind: 'unknown', detail: `no answer in ${ANSWER_PATIENCE_MS / 1000} s` };
  } catch (error) {
    // An adapter that throws has broken its contract; nobody can say what it did before.
    return { kind: 'unknown', detail: messageOf(error) };
  }
}

async function put(context: DeliveryContext, output: Output, order: OrderState): Promise<Answer> {
  const wanted = wantedOf(context, order);
  if (wanted === null) {
    return { kind: 'rejected', detail: nothingBehind(context, order) };
  }
  return askWanted(output, wanted);
}

/** Why an order wants nothing, for its record: the code first. */
function nothingBehind({ db, clock }: DeliveryContext, order: OrderState): string {
  if (order.kind !== 'deliver') return 'its stop is not in the store';
  const why = whyNothingStands(db, order.confirmationId);
  return why === null ? '' : `${why.because}: ${sayNothingStands(why, logReader(clock))}`;
}

/** Asks an output for what is wanted of it. */
export function askWanted(output: Output, wanted: Wanted): Promise<Answer> {
  return wanted.kind === 'deliver'
    ? output.deliver(wanted.orderId, wanted.confirmed)
    : output.withdraw(wanted.orderId, wanted.withdrawal);
}

/** What an order wants to stand at its output now, or null when the store has nothing behind it. */
export function wantedOf(
  { db, siteId, clock, places }: Pick<DeliveryContext, 'db' | 'siteId' | 'clock' | 'places'>,
  order: OrderState,
): Wanted | null {
  const { kind, output, confirmationId, holdId } = order;
  const isAny = confirmationId !== null;
  const upTo = changeNumberOf(order.orderId);
  const standing = isAny ? standingPlan(db, confirmationId, upTo) : null;
  const delivery = isAny ? deliveryOf(db, { confirmationId, output }) : null;
  const hold = kind === 'withdraw' ? holdBehind(db, holdId) : null;
  const siteDay = clock.siteDayOf((hold ?? order).atMs);
  const place = places?.get(output) ?? null;
  return wantedFrom(order, { siteId, siteDay, standing, delivery, hold, place });
}

function writeDown({ db }: DeliveryContext, order: OrderState, answer: Answer, atMs: number): void {
  inTransaction(db, () => {
    addAttempt(db, { ...order, atMs, answer: answer.kind, detail: answer.detail });
    // The same unknown answer over and over would bury the log: only a change is a line.
    if (answer.kind === 'unknown' && order.lastAnswer === 'unknown') return;
    addAuditEntry(db, {
      atMs,
      kind: answer.kind === 'accepted' ? 'sent' : 'send_failed',
      who: DAEMON,
      what: `${order.kind} ${order.orderId} to ${order.output}: ${answer.kind}, ${answer.detail}`,
    });
  });
}

function messageOf(error: unknown): string {
  return error instanceof Error ? error.message : String(error);
}

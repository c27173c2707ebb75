import type { Answer, Output } from '../../adapters/contract.ts';
import type { SiteClock } from '../../adapters/site-clock.ts';
import { holdBehind, standingPlan } from '../gate/gate.ts';
import type { Db } from '../store/database.ts';
import { inTransaction } from '../store/in-transaction.ts';
import {
  addAttempt,
  lastOwedPlace,
  newestOrders,
  type OrderState,
  openOrders,
} from '../store/owed.ts';
import { addStep, DAEMON } from '../store/steps.ts';
import { within } from '../within.ts';
import {
  type Delivered,
  type DeliveryMemory,
  deliveryMemory,
  orderKey,
} from './delivery-memory.ts';
import { nextStep } from './next-attempt.ts';
import { type UnwrittenHolds, writeHolds } from './unwritten-holds.ts';

/** What a round of deliveries works with. */
export interface DeliveryContext {
  db: Db;
  siteId: string;
  clock: SiteClock;
  outputs: ReadonlyMap<string, Output>;
  now(): number;
  /** Kept from round to round by whoever makes more than one. */
  memory?: DeliveryMemory;
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
export async function deliverOwed(context: DeliveryContext): Promise<Delivered[]> {
  const { db, now, memory = deliveryMemory() } = context;
  offerAgain(context, memory);
  const newest = new Map(newestOrders(db).map((order) => [order.output, order.orderId]));
  const sends: Promise<void>[] = [];
  for (const order of holdsBeforeDeliveries(openOrders(db))) {
    const key = orderKey(order);
    if (memory.underWay.has(key) || waits(memory, order, now())) continue;
    const step = nextStep(order, newest.get(order.output) ?? order.orderId, now());
    if (step.do === 'end' && memory.storeFault === null) {
      addAttempt(db, { ...order, atMs: now(), answer: step.as, detail: step.why });
    }
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
  const lastPlace = lastOwedPlace(db);
  for (let waitedMs = 0; waitedMs < ROUND_PATIENCE_MS; waitedMs += LOOK_UP_MS) {
    const { ended } = await within(all, LOOK_UP_MS);
    if (ended || lastOwedPlace(db) !== lastPlace) return;
  }
}

function holdsBeforeDeliveries(orders: OrderState[]): OrderState[] {
  return orders.toSorted((a, b) => Number(a.kind === 'deliver') - Number(b.kind === 'deliver'));
}

/** Writes what the database refused before; stops at the first that it still refuses. */
function offerAgain(context: DeliveryContext, memory: DeliveryMemory): void {
  const { unwrittenHolds = [], outputs } = context;
  try {
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

/** While the database refuses: no delivery, and a withdrawal again only after a while. */
function waits(memory: DeliveryMemory, order: OrderState, nowMs: number): boolean {
  if (memory.storeFault === null) return false;
  if (order.kind === 'deliver') return true;
  const before = memory.unwritten.get(orderKey(order));
  if (before === undefined) return false;
  return before.answer.kind !== 'unknown' || nowMs < before.atMs + REFUSED_WAIT_MS;
}

const REFUSED_WAIT_MS = 10_000;

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
  const { db, siteId, clock } = context;
  const standing = order.confirmationId === null ? null : standingPlan(db, order.confirmationId);
  if (order.kind === 'deliver') {
    if (standing === null) {
      return { kind: 'rejected', detail: 'nothing of the plan stands any more' };
    }
    return output.deliver(order.orderId, standing);
  }
  const hold = holdBehind(db, order.holdId);
  if (hold === null) return { kind: 'rejected', detail: 'its hold is not in the store' };
  return output.withdraw(order.orderId, {
    siteId,
    siteDay: clock.siteDayOf(hold.atMs),
    beds: hold.beds,
    who: hold.who,
    why: hold.why,
    atMs: hold.atMs,
    remaining: standing,
  });
}

function writeDown({ db }: DeliveryContext, order: OrderState, answer: Answer, atMs: number): void {
  inTransaction(db, () => {
    addAttempt(db, { ...order, atMs, answer: answer.kind, detail: answer.detail });
    // The same unknown answer over and over would bury the log: only a change is a line.
    if (answer.kind === 'unknown' && order.lastAnswer === 'unknown') return;
    addStep(db, {
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

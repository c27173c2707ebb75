import type { Answer, Output } from '../../adapters/contract.ts';
import type { SiteClock } from '../../adapters/site-clock.ts';
import { holdBehind, standingPlan } from '../gate/gate.ts';
import type { Db } from '../store/database.ts';
import { addAttempt, newestOrders, type OrderState, openOrders } from '../store/owed.ts';
import { addStep, DAEMON } from '../store/steps.ts';
import { nextStep } from './next-attempt.ts';

/** What a round of deliveries works with. */
export interface DeliveryContext {
  db: Db;
  siteId: string;
  clock: SiteClock;
  outputs: ReadonlyMap<string, Output>;
  now(): number;
}

/** What came of one order in a round. */
export interface Delivered {
  order: OrderState;
  answer: Answer;
}

/**
 * Sends what is owed and due now, each output's newest order, and writes down every answer.
 * @returns The answers of this round; an empty list when nothing was due.
 */
export async function deliverOwed(context: DeliveryContext): Promise<Delivered[]> {
  const { db, now } = context;
  const newest = new Map(newestOrders(db).map((order) => [order.output, order.orderId]));
  const due: OrderState[] = [];
  for (const order of openOrders(db)) {
    const step = nextStep(order, newest.get(order.output) ?? order.orderId, now());
    if (step.do === 'send') due.push(order);
    if (step.do === 'end') {
      addAttempt(db, { ...order, atMs: now(), answer: step.as, detail: step.why });
    }
  }
  return Promise.all(due.map((order) => send(context, order)));
}

async function send(context: DeliveryContext, order: OrderState): Promise<Delivered> {
  const output = context.outputs.get(order.output);
  const answer: Answer =
    output === undefined
      ? { kind: 'unknown', detail: 'this output is not in the config now' }
      : await ask(context, output, order);
  writeDown(context, order, answer);
  return { order, answer };
}

async function ask(context: DeliveryContext, output: Output, order: OrderState): Promise<Answer> {
  const { db, siteId, clock } = context;
  const standing = order.confirmationId === null ? null : standingPlan(db, order.confirmationId);
  try {
    if (order.kind === 'deliver') {
      if (standing === null) {
        return { kind: 'rejected', detail: 'nothing of the plan stands any more' };
      }
      return await output.deliver(order.orderId, standing);
    }
    const hold = holdBehind(db, order.holdId);
    if (hold === null) return { kind: 'rejected', detail: 'its hold is not in the store' };
    return await output.withdraw(order.orderId, {
      siteId,
      siteDay: clock.siteDayOf(hold.atMs),
      beds: hold.beds,
      who: hold.who,
      why: hold.why,
      atMs: hold.atMs,
      remaining: standing,
    });
  } catch (error) {
    // An adapter that throws has broken its contract; nobody can say what it did before.
    return { kind: 'unknown', detail: error instanceof Error ? error.message : String(error) };
  }
}

function writeDown(context: DeliveryContext, order: OrderState, answer: Answer): void {
  const { db, now } = context;
  db.transaction(() => {
    addAttempt(db, { ...order, atMs: now(), answer: answer.kind, detail: answer.detail });
    // The same unknown answer over and over would bury the log: only a change is a line.
    if (answer.kind === 'unknown' && order.lastAnswer === 'unknown') return;
    addStep(db, {
      atMs: now(),
      kind: answer.kind === 'accepted' ? 'sent' : 'send_failed',
      who: DAEMON,
      what: `${order.kind} ${order.orderId} to ${order.output}: ${answer.kind}, ${answer.detail}`,
    });
  }).immediate();
}

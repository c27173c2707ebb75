import type { Answer, FoundStop, Output, Wanted } from '../../adapters/contract.ts';
import { holdWater } from '../site/gate/gate.ts';
import { addAuditEntry, DAEMON } from '../site/store/audit-log.ts';
import { inTransaction } from '../site/store/database.ts';
import { hasHold } from '../site/store/holds-and-keep-offs.ts';
import {
  addAttempt,
  isOrderedSinceStops,
  newestOrders,
  type OrderState,
} from '../site/store/outbox.ts';
import { within } from '../within.ts';
import { sayIn } from '../words/language.ts';
import { askWanted, type DeliveryContext, wantedOf } from './deliver-outbox.ts';
import { isLookedFor, judgeFound } from './order-decisions.ts';

/** What reading back has shown of one output, kept by a running daemon. */
export interface SeenOutput {
  /** What was seen last, in words; empty while all is as wanted. */
  fault: string;
  /** Since when it could not be seen; null: it can. */
  unseenSinceMs: number | null;
  /** When it was looked at for the first time. */
  firstAskedMs: number;
  /** Instants of late at which something was put right there. */
  putRightMs: number[];
}

/** What reading back knows from round to round. */
export interface ReadBackMemory {
  seen: Map<string, SeenOutput>;
  /** Outputs that are being looked at and have not answered. */
  underWay: Set<string>;
}

export function readBackMemory(): ReadBackMemory {
  return { seen: new Map(), underWay: new Set() };
}

/** What was done about an output that was not as wanted. */
export interface PutRight {
  output: string;
  what: 'put_right' | 'empty' | 'take_stop';
  why: string;
  answer: Answer | null;
}

/** An output that does not let itself be looked at in this time is looked at by a later round. */
const LOOK_PATIENCE_MS = 1_500;
const ANSWER_PATIENCE_MS = 5_000;
/** What cannot be looked at for this long, as where a right is missing, is written to all the same. */
const BLIND_PATIENCE_MS = 10_000;
/** Putting right is told to persons when it happens often within this. */
const OF_LATE_MS = 10 * 60_000;
const MOST_LINES_OF_LATE = 3;

/**
 * Reads back what stands at every output and puts right what differs from what the store wants: a
 * medium that forgot, an older order put back, a forged one, a folder that is gone.
 *
 * @returns What was done; empty when all is as wanted.
 */
export async function readBack(
  context: DeliveryContext,
  memory: ReadBackMemory,
): Promise<PutRight[]> {
  const done: PutRight[] = [];
  const looks = [...context.outputs.values()]
    .filter(({ name }) => !memory.underWay.has(name))
    .map(async (output) => {
      memory.underWay.add(output.name);
      try {
        const what = await lookAt(output, context, memory);
        if (what !== null) done.push(what);
      } finally {
        memory.underWay.delete(output.name);
      }
    });
  await within(Promise.allSettled(looks), LOOK_PATIENCE_MS);
  return done;
}

async function lookAt(
  output: Output,
  context: DeliveryContext,
  memory: ReadBackMemory,
): Promise<PutRight | null> {
  const { now } = context;
  const { name } = output;
  const order = newestOrderOf(context, name);
  // Its own sending looks after an order that is still open.
  if (order !== null && isUnderWay(context, order)) return null;
  const facts = {
    place: context.places?.get(name) ?? null,
    keepsPastOrders: output.keepsPastOrders === true,
    nowMs: now(),
  };
  const isWantedHere = order !== null && isLookedFor(order, facts);
  const wanted = isWantedHere ? wantedOf(context, order) : null;
  const seen = memory.seen.get(name) ?? {
    fault: '',
    unseenSinceMs: null,
    firstAskedMs: now(),
    putRightMs: [],
  };
  memory.seen.set(name, seen);
  seen.unseenSinceMs ??= now();
  const found = await output.find(wanted);
  if (found.kind !== 'unseen') seen.unseenSinceMs = null;
  const isLooked = found.kind !== 'unseen' || now() - seen.firstAskedMs > BLIND_PATIENCE_MS;
  seen.putRightMs = seen.putRightMs.filter((atMs) => Math.abs(now() - atMs) < OF_LATE_MS);
  const step = judgeFound({
    order: wanted === null ? null : order,
    found,
    keepsPastOrders: output.keepsPastOrders === true,
    knowsStop: (stop) => hasHold(context.db, stop),
    isOfStore: (orderId) => isOrderedSinceStops(context.db, { orderId, output: name }),
    nowMs: now(),
  });
  // A stop that stands there and is known to nobody must not be written over by what is owed.
  if (isLooked && step.do !== 'take_stop') context.memory.lookedAt.add(name);
  if (step.do === 'nothing') {
    seen.fault = '';
    return null;
  }
  seen.fault = step.why;
  if (step.do === 'tell') return null;
  // Something newer may have become owed while it was looked at: that says what stands.
  if (newestOrderOf(context, name)?.orderId !== order?.orderId) return null;
  seen.putRightMs.push(now());
  switch (step.do) {
    case 'take_stop':
      takeStop(context, output, step.stop);
      context.memory.lookedAt.add(name);
      return { output: name, what: step.do, why: step.why, answer: null };
    case 'put_right':
      if (wanted === null || order === null) return null;
      return putRight(context, { output, order, wanted, why: step.why, isNews: isNews(seen) });
    case 'empty':
      return empty(context, { output, why: step.why, isNews: isNews(seen) });
  }
}

async function putRight(
  context: DeliveryContext,
  asked: { output: Output; order: OrderState; wanted: Wanted; why: string; isNews: boolean },
): Promise<PutRight | null> {
  const { output, order, wanted, why, isNews } = asked;
  const { memory, unwrittenHolds = [] } = context;
  const isWatering = wanted.kind === 'deliver';
  // Starting water needs a memory of it; a stop that the store has not taken comes before a plan.
  if (isWatering && (memory.storeFault !== null || unwrittenHolds.length > 0)) return null;
  const given = await within(askWanted(output, wanted), ANSWER_PATIENCE_MS);
  const answer: Answer = given.ended ? given.value : { kind: 'unknown', detail: 'no answer' };
  const what = `${output.name}: ${order.orderId} put right: ${why}: ${answer.kind}`;
  writeDown(context, { order, answer, what: isNews ? what : null });
  return { output: output.name, what: 'put_right', why, answer };
}

/** Takes away what the store knows nothing of; the same at every look, until it is gone. */
async function empty(
  context: DeliveryContext,
  { output, why, isNews }: { output: Output; why: string; isNews: boolean },
): Promise<PutRight> {
  const { siteId, clock, now, say = sayIn('en', 'anywhere') } = context;
  const atMs = now();
  const given = await within(
    output.withdraw(`unknown-${atMs}`, {
      siteId,
      siteDay: clock.siteDayOf(atMs),
      beds: 'all',
      who: DAEMON,
      why: say('stop_why.unknown_here'),
      atMs,
      remaining: null,
    }),
    ANSWER_PATIENCE_MS,
  );
  const answer: Answer = given.ended ? given.value : { kind: 'unknown', detail: 'no answer' };
  const what = `${output.name}: emptied: ${why}: ${answer.kind}`;
  writeDown(context, { order: null, answer, what: isNews ? what : null });
  return { output: output.name, what: 'empty', why, answer };
}

function takeStop(
  { db, clock, outputs, now }: DeliveryContext,
  { name }: Output,
  stop: FoundStop,
): void {
  const { who, why, beds } = stop;
  // Its own instant, so that it is known when it is found at another output as well.
  const nowMs = Math.min(stop.atMs, now());
  holdWater(
    { db, clock, outputs: [...outputs.keys()], nowMs },
    { who, why: `${why} (found at ${name})`, beds, untilMs: null },
  );
}

/** Somebody who puts an old order back every second must not fill the log. */
function isNews({ putRightMs }: SeenOutput): boolean {
  return putRightMs.length <= MOST_LINES_OF_LATE;
}

function writeDown(
  { db, now }: DeliveryContext,
  given: { order: OrderState | null; answer: Answer; what: string | null },
): void {
  const { order, answer, what } = given;
  const isChanged = order !== null && order.lastAnswer !== answer.kind;
  if (!isChanged && what === null) return;
  inTransaction(db, () => {
    if (isChanged) {
      addAttempt(db, { ...order, atMs: now(), answer: answer.kind, detail: answer.detail });
    }
    if (what !== null) addAuditEntry(db, { atMs: now(), kind: 'put_right', who: DAEMON, what });
  });
}

function newestOrderOf({ db }: DeliveryContext, output: string): OrderState | null {
  return newestOrders(db).find((order) => order.output === output) ?? null;
}

function isUnderWay({ memory }: DeliveryContext, order: OrderState): boolean {
  return [...memory.underWay.keys()].some(
    (key) => (JSON.parse(key) as string[])[1] === order.output,
  );
}

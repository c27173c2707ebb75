import type {
  Answer,
  ConfirmedPlan,
  Found,
  Output,
  StopNow,
  StoppableOutput,
  Wanted,
  Withdrawal,
} from '../contract.ts';
import type { SiteClock } from '../site-clock.ts';
import { settledWithin } from './holds-first.ts';
import { standingAfter } from './order-document.ts';
import { REAL_TIMERS, type Timers } from './timers.ts';

/** A stop is told about after this, whatever it has come to. */
const ANSWER_PATIENCE_MS = 2_000;
/** What stands out there is looked at no longer than this before a stop goes out. */
const LOOK_PATIENCE_MS = 400;
const FIRST_WAIT_MS = 250;
const LONGEST_WAIT_MS = 5_000;

const WAITS: Answer = {
  kind: 'unknown',
  detail: 'a stop came first; nothing is delivered until the store knows of it',
};

/**
 * Lets an output be stopped by itself: from what it put out last, without the store and without
 * whoever keeps it. A stop goes on trying until the receiver has no runs of its beds.
 */
export function stoppable(
  output: Output,
  facts: { siteId: string; clock: SiteClock; timers?: Timers },
): StoppableOutput {
  const { siteId, clock, timers = REAL_TIMERS } = facts;
  /** The order that stands out there by what was last asked; null: not known. */
  let last: Wanted | null = null;
  /** Stops that the store does not know of yet, oldest first. */
  let stops: StopNow[] = [];
  /** Whoever waits to hear what became of a stop. */
  const waiting = new Set<(answer: Answer) => void>();
  let isOpen = true;

  const pause = (ms: number) => new Promise<void>((resolve) => void timers.later(ms, resolve));

  /** What would go on without the stops; null: nothing, or nobody knows. */
  async function remainingNow(): Promise<ConfirmedPlan | null> {
    const wanted = orderToReadBack(last, stops);
    if (wanted === null) return null;
    let seen: Found | null = null;
    const look = output.find(wanted).then((found) => {
      seen = found;
    });
    await settledWithin(look, LOOK_PATIENCE_MS);
    return remainingWithoutStops(wanted, seen);
  }

  async function withdrawStopped(asked: StopNow, remaining: ConfirmedPlan | null): Promise<Answer> {
    const siteDay = clock.siteDayOf(asked.atMs);
    const order = stopOrder(asked, { siteId, siteDay, remaining, stops });
    const { orderId, withdrawal } = order;
    const answer = await output
      .withdraw(orderId, withdrawal)
      .catch((error: unknown): Answer => ({ kind: 'unknown', detail: String(error) }));
    if (answer.kind !== 'accepted') return answer;
    last = order;
    const everything = asked.beds !== 'all' && withdrawal.beds === 'all';
    const detail = everything ? `${answer.detail}; every bed, to be safe` : answer.detail;
    return { kind: 'accepted', detail };
  }

  async function stopUntilDone(asked: StopNow, tell: (answer: Answer) => void): Promise<void> {
    const remaining = await remainingNow();
    for (let waitMs = FIRST_WAIT_MS; ; waitMs = Math.min(2 * waitMs, LONGEST_WAIT_MS)) {
      const answer = await withdrawStopped(asked, remaining);
      tell(answer);
      if (!isOpen || !repeatsStop(asked, { answer, stops })) return;
      await pause(waitMs);
      // A newer stop says all that this one did, and must not be taken for this one.
      if (!isOpen || stops.at(-1) !== asked) return;
    }
  }

  return {
    name: output.name,
    ...(output.keepsPastOrders === undefined ? {} : { keepsPastOrders: output.keepsPastOrders }),
    async start() {
      isOpen = true;
      await output.start();
    },
    async deliver(orderId, confirmed) {
      if (stops.length > 0) return WAITS;
      const answer = await output.deliver(orderId, confirmed);
      if (stops.length > 0) return WAITS;
      if (answer.kind === 'accepted') last = { kind: 'deliver', orderId, confirmed };
      return answer;
    },
    async withdraw(asked, whole) {
      const order = withdrawalUnderStops({ orderId: asked, withdrawal: whole }, stops);
      const answer = await output.withdraw(order.orderId, order.withdrawal);
      if (answer.kind === 'accepted') {
        last = order;
        // What the store asks for says all that a stop said: one that it has overtaken is done.
        for (const tell of waiting) tell(answer);
      }
      return answer;
    },
    async find(wanted) {
      // Until the store knows of a stop, what it wants is not what has to stand.
      const isStopped = stops.length > 0 && last !== null;
      const found = await output.find(isStopped ? last : wanted);
      if (!isStopped && wanted !== null && found.kind === 'as_wanted') last = wanted;
      return found;
    },
    async stopNow(asked) {
      stops = withStop(stops, asked);
      let newest: Answer = {
        kind: 'unknown',
        detail: `no answer in ${ANSWER_PATIENCE_MS / 1000} s`,
      };
      let finish = () => {};
      const done = new Promise<void>((resolve) => {
        finish = resolve;
      });
      const tell = (answer: Answer) => {
        newest = answer;
        if (answer.kind === 'accepted') finish();
      };
      waiting.add(tell);
      void stopUntilDone(asked, tell);
      await Promise.race([done, pause(ANSWER_PATIENCE_MS)]);
      waiting.delete(tell);
      return newest;
    },
    storeKnows(stopNo) {
      stops = stops.filter((stop) => stop.stopNo > stopNo);
    },
    ...(output.tell === undefined
      ? {}
      : { tell: (news) => output.tell?.(news) ?? Promise.resolve(WAITS) }),
    health: output.health,
    async stop() {
      isOpen = false;
      await output.stop();
    },
  };
}

/** More stops than this that the store has not heard of are one of everything. */
const MOST_STOPS = 100;

type WantedWithdrawal = Extract<Wanted, { kind: 'withdraw' }>;

/** The stops of an output that the store does not know of, with one more. Pure. */
export function withStop(stops: readonly StopNow[], asked: StopNow): StopNow[] {
  return stops.length < MOST_STOPS ? [...stops, asked] : [{ ...asked, beds: 'all' }, asked];
}

/** Every bed that any of the stops names. Pure. */
function bedsOf(stops: readonly StopNow[]): 'all' | string[] {
  const named = stops.flatMap(({ beds }) => (beds === 'all' ? [] : beds));
  return stops.some(({ beds }) => beds === 'all') ? 'all' : [...new Set(named)];
}

/** Waters nothing that a stop has taken out, whatever the order says. Pure. */
export function withoutStoppedBeds(withdrawal: Withdrawal, stops: readonly StopNow[]): Withdrawal {
  if (stops.length === 0) return withdrawal;
  const { remaining } = withdrawal;
  const stopped = bedsOf(stops);
  if (remaining === null || stopped === 'all') {
    return { ...withdrawal, beds: 'all', remaining: null };
  }
  const heldBedIds = [...new Set([...remaining.heldBedIds, ...stopped])];
  return { ...withdrawal, remaining: { ...remaining, heldBedIds } };
}

/**
 * A withdrawal of the store as it goes out while stops wait for it. Pure.
 *
 * The same id never says two things: what a stop has cut down goes under one of its own. It tells of
 * the stops, not of the hold: the store knows of that one, and of them only what stands out there
 * may know by the time that the daemon starts again.
 */
export function withdrawalUnderStops(
  { orderId, withdrawal }: Omit<WantedWithdrawal, 'kind'>,
  stops: readonly StopNow[],
): WantedWithdrawal {
  const newest = stops.at(-1);
  if (newest === undefined) return { kind: 'withdraw', orderId, withdrawal };
  const { stopNo, who, why, atMs } = newest;
  const id = `stop-${stopNo}-${atMs}-with-${orderId}`;
  const standing = standingAfter(withdrawal);
  const told = { ...withdrawal, who, why, atMs, beds: bedsOf(stops), remaining: standing };
  return { kind: 'withdraw', orderId: id, withdrawal: withoutStoppedBeds(told, stops) };
}

/** What has to be looked at before it is known what goes on besides the stops; null: nothing. Pure. */
export function orderToReadBack(last: Wanted | null, stops: readonly StopNow[]): Wanted | null {
  return stops.some(({ beds }) => beds === 'all') ? null : last;
}

/**
 * What would go on without the stops; null: nothing, or nobody knows. Pure.
 *
 * @param found What the look has shown; null: it has not come back.
 */
export function remainingWithoutStops(
  looked: Wanted | null,
  found: Found | null,
): ConfirmedPlan | null {
  // Somebody else has put something there meanwhile, or nobody can say: the drier reading is safe.
  if (looked === null || found?.kind !== 'as_wanted') return null;
  return looked.kind === 'deliver' ? looked.confirmed : standingAfter(looked.withdrawal);
}

/**
 * A stop as the order that goes to the receiver, past the store. It names the beds of every stop that
 * the store does not know of: it takes the place of the orders that told of them. Pure.
 */
export function stopOrder(
  { stopNo, who, why, atMs }: StopNow,
  given: {
    siteId: string;
    siteDay: string;
    remaining: ConfirmedPlan | null;
    stops: readonly StopNow[];
  },
): WantedWithdrawal {
  const { siteId, siteDay, remaining, stops } = given;
  const beds = remaining === null ? 'all' : bedsOf(stops);
  const withdrawal = withoutStoppedBeds(
    { siteId, siteDay, who, why, atMs, beds, remaining },
    stops,
  );
  return { kind: 'withdraw', orderId: `stop-${stopNo}-${atMs}`, withdrawal };
}

/** Whether a stop is asked once more after an answer. Pure. */
export function repeatsStop(
  asked: StopNow,
  { answer, stops }: { answer: Answer; stops: readonly StopNow[] },
): boolean {
  // What the store knows of by now is an order of its own; a newer stop says all that this one did.
  return answer.kind !== 'accepted' && stops.at(-1) === asked;
}

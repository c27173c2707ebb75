import type {
  Answer,
  ConfirmedPlan,
  Found,
  Output,
  StopNow,
  StoppableOutput,
  Wanted,
} from '../contract.ts';
import type { SiteClock } from '../site-clock.ts';
import { settledWithin } from './holds-first.ts';
import { cutDown, goesOn, lookBeforeStop, stopOrder, stopsAgain, withStop } from './stop-order.ts';
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
    const wanted = lookBeforeStop(last, stops);
    if (wanted === null) return null;
    let seen: Found | null = null;
    const look = output.find(wanted).then((found) => {
      seen = found;
    });
    await settledWithin(look, LOOK_PATIENCE_MS);
    return goesOn(wanted, seen);
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
      if (!isOpen || !stopsAgain(asked, { answer, stops })) return;
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
      const order = cutDown({ orderId: asked, withdrawal: whole }, stops);
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

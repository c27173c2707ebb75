import type { Answer, Found, Output, Wanted, Withdrawal } from '../../../adapters/contract.ts';
import type { DeliveryContext } from '../../../daemon/delivery/deliver-outbox.ts';
import { deliveryMemory, type UnwrittenHolds } from '../../../daemon/delivery/delivery-memory.ts';
import { readBack, readBackMemory } from '../../../daemon/delivery/read-back.ts';
import { confirmPlan, holdWater } from '../../../daemon/site/gate/gate.ts';
import { CAUTIONS } from '../../../daemon/site/gate/valid-confirm.ts';
import { lastAuditEntries } from '../../../daemon/site/store/audit-log.ts';
import { addAttempt } from '../../../daemon/site/store/outbox.ts';
import { siteClock } from '../../../daemon/site/time/site-clock.ts';
import { EXAMPLE_MADE_AT_MS, EXAMPLE_SITE, EXAMPLE_ZONE, examplePlan } from '../../example-plan.ts';
import { rememberPlan, scratchDatabase } from '../../scratch-site.ts';

export const clock = siteClock(EXAMPLE_ZONE);
export const MIN_MS = 60_000;

/** One output at which the test says what is found, and a store with a plan of the day. */
export function scene(given: { keepsPastOrders?: boolean } = {}) {
  const db = scratchDatabase();
  let nowMs = EXAMPLE_MADE_AT_MS;
  let found: () => Promise<Found> = async () => ({ kind: 'as_wanted' });
  let answer: () => Promise<Answer> = async () => ({ kind: 'accepted', detail: 'taken' });
  const looked: (Wanted | null)[] = [];
  const delivered: string[] = [];
  const withdrawn: { orderId: string; withdrawal: Withdrawal }[] = [];
  const output = {
    name: 'file',
    keepsPastOrders: given.keepsPastOrders,
    find: (wanted: Wanted | null) => {
      looked.push(wanted);
      return found();
    },
    deliver: (orderId: string) => {
      delivered.push(orderId);
      return answer();
    },
    withdraw: (orderId: string, withdrawal: Withdrawal) => {
      withdrawn.push({ orderId, withdrawal });
      return answer();
    },
  } as unknown as Output;
  const unwrittenHolds: UnwrittenHolds = [];
  const context: DeliveryContext = {
    db,
    siteId: 'example-site',
    clock,
    outputs: new Map([['file', output]]),
    now: () => nowMs,
    memory: deliveryMemory(),
    unwrittenHolds,
  };
  const memory = readBackMemory();
  const gate = () => ({ db, clock, site: EXAMPLE_SITE, outputs: ['file'], nowMs });
  return {
    db,
    context,
    memory,
    unwrittenHolds,
    looked,
    delivered,
    withdrawn,
    round: () => readBack(context, memory),
    finds: (what: Found | (() => Promise<Found>)) => {
      found = typeof what === 'function' ? what : async () => what;
    },
    answers: (what: Answer | (() => Promise<Answer>)) => {
      answer = typeof what === 'function' ? what : async () => what;
    },
    later: (byMs: number) => {
      nowMs += byMs;
    },
    /** Confirms a plan, and has the output take it. */
    taken: () => {
      const { digest } = rememberPlan(db, examplePlan({ revision: 1 }));
      const cautions = CAUTIONS.map(({ code }) => code);
      const result = confirmPlan(gate(), { revision: 1, digest, who: 'A. Keeper', cautions });
      if (!result.ok) throw new Error(result.refusal.code);
      const { orderId } = result;
      addAttempt(db, { orderId, output: 'file', atMs: nowMs, answer: 'accepted', detail: 'taken' });
      return orderId;
    },
    hold: (beds: 'all' | string[] = 'all') =>
      holdWater(gate(), { who: 'B. Mower', why: 'leak', beds, untilMs: null }),
    putRightLines: () =>
      lastAuditEntries(db, 99)
        .filter(({ kind }) => kind === 'put_right')
        .map(({ what }) => what),
  };
}

export const nothing: Found = { kind: 'nothing', detail: 'file: no order' };
export const unseen: Found = { kind: 'unseen', detail: 'file: away' };
export const strange = (runsAhead = 2): Found => ({
  kind: 'other',
  detail: 'file: order x',
  order: { orderId: 'x', runsAhead, stop: null },
});
export const stopped = (atMs: number): Found => ({
  kind: 'other',
  detail: 'file: order stop',
  order: {
    orderId: `stop-7-${atMs}`,
    runsAhead: 0,
    stop: { who: 'B. Mower', why: 'leak', atMs: 1, beds: ['bed-1'] },
  },
});

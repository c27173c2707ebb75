import { rmSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import type { Answer, ConfirmedPlan, Output, Withdrawal } from '../../../adapters/contract.ts';
import { deliverOutbox } from '../../../daemon/delivery/deliver-outbox.ts';
import { deliveryMemory, type UnwrittenHolds } from '../../../daemon/delivery/delivery-memory.ts';
import { nextStep } from '../../../daemon/delivery/order-decisions.ts';
import { confirmPlan, holdWater } from '../../../daemon/site/gate/gate.ts';
import { CAUTIONS } from '../../../daemon/site/gate/valid-confirm.ts';
import { openHolds } from '../../../daemon/site/store/holds-and-keep-offs.ts';
import { orderStates } from '../../../daemon/site/store/outbox.ts';
import { siteClock } from '../../../daemon/site/time/site-clock.ts';
import { EXAMPLE_MADE_AT_MS, EXAMPLE_SITE, EXAMPLE_ZONE, examplePlan } from '../../example-plan.ts';
import { rememberPlan, scratchDatabase } from '../../scratch-site.ts';
import { alterPlan, tenfold } from '../altered-rows.ts';
import { ORDER } from './one-order.ts';

const clock = siteClock(EXAMPLE_ZONE);

/** An output that records what reaches it and answers as told. */
function recorder(answers: Answer[]) {
  const delivered: { orderId: string; confirmed: ConfirmedPlan }[] = [];
  const withdrawn: { orderId: string; withdrawal: Withdrawal }[] = [];
  const answer = (): Answer => answers.shift() ?? { kind: 'accepted', detail: 'recorded' };
  const output: Output = {
    name: 'recorder',
    start: async () => undefined,
    deliver: async (orderId, confirmed) => {
      delivered.push({ orderId, confirmed });
      return answer();
    },
    withdraw: async (orderId, withdrawal) => {
      withdrawn.push({ orderId, withdrawal });
      return answer();
    },
    find: async () => ({ kind: 'as_wanted' }),
    health: () => ({ ok: true, detail: 'recording' }),
    stop: async () => undefined,
  };
  return { output, delivered, withdrawn };
}

function scene(answers: Answer[] = []) {
  const db = scratchDatabase();
  const field = recorder(answers);
  let nowMs = EXAMPLE_MADE_AT_MS;
  const gate = () => ({ db, clock, site: EXAMPLE_SITE, outputs: ['recorder'], nowMs });
  const memory = deliveryMemory();
  const unwrittenHolds: UnwrittenHolds = [];
  const stored = rememberPlan(db, examplePlan({ revision: 1, firstRunMs: EXAMPLE_MADE_AT_MS }));
  return {
    db,
    field,
    memory,
    unwrittenHolds,
    confirm: () =>
      confirmPlan(gate(), {
        revision: 1,
        digest: stored.digest,
        who: 'A. Keeper',
        cautions: CAUTIONS.map((caution) => caution.code),
      }),
    hold: (beds: 'all' | string[]) =>
      holdWater(gate(), { who: 'B. Mower', why: 'roll', beds, untilMs: null }),
    later: (durationMs: number) => {
      nowMs += durationMs;
    },
    round: () =>
      deliverOutbox({
        db,
        siteId: 'example-site',
        clock,
        outputs: new Map([['recorder', field.output]]),
        now: () => nowMs,
        memory,
        unwrittenHolds,
      }),
  };
}

describe('deliverOwed', () => {
  it('sends a confirmed plan once, and nothing before a confirm', async () => {
    const { confirm, round, field } = scene();
    await round();
    expect(field.delivered).toEqual([]);
    confirm();
    await round();
    await round();
    expect(field.delivered).toHaveLength(1);
  });

  it('tries again under the same id after an unknown answer, but not at once', async () => {
    const { confirm, round, later, field } = scene([{ kind: 'unknown', detail: 'broker away' }]);
    confirm();
    await round();
    await round();
    expect(field.delivered).toHaveLength(1);
    later(2_000);
    await round();
    later(60_000);
    await round();
    expect(field.delivered.map((one) => one.orderId)).toEqual([
      field.delivered[0]?.orderId,
      field.delivered[0]?.orderId,
    ]);
  });

  it('does not try again what was rejected', async () => {
    const { confirm, round, later, field } = scene([{ kind: 'rejected', detail: 'no such site' }]);
    confirm();
    await round();
    later(600_000);
    await round();
    expect(field.delivered).toHaveLength(1);
  });

  it('rejects a plan whose row was altered after its confirm, with the reason by name', async () => {
    const { db, confirm, round, field } = scene();
    const confirmed = confirm();
    alterPlan(db, 1, tenfold);
    await round();
    expect(field.delivered).toEqual([]);
    const [state] = orderStates(db, confirmed.ok ? confirmed.orderId : '');
    expect(state).toMatchObject({ lastAnswer: 'rejected' });
    expect(state?.lastDetail).toMatch(/^store_altered: .* does not fit its digest/);
  });

  it('delivers nothing out of a database that is gone, and passes a hold on all the same', async () => {
    const { db, confirm, hold, round, unwrittenHolds, field, memory } = scene();
    confirm();
    hold(['bed-2']);
    const asked = { stopNo: 1, who: 'B. Mower', why: 'leak', beds: 'all' as const, untilMs: null };
    const [{ file }] = db.pragma('database_list') as [{ file: string }];
    rmSync(file);
    unwrittenHolds.push({ ...asked, atMs: EXAMPLE_MADE_AT_MS });
    await round();
    expect(memory.storeFault).toMatch(/was deleted while it is open; stop the daemon/);
    expect(field.delivered).toEqual([]);
    expect(field.withdrawn).toHaveLength(1);
    expect(unwrittenHolds, 'not taken for written').toHaveLength(1);
  });

  it('lets a hold overtake a delivery that is still owed', async () => {
    const { db, confirm, hold, round, field } = scene([{ kind: 'unknown', detail: 'broker away' }]);
    const confirmed = confirm();
    await round();
    hold('all');
    await round();
    expect(field.withdrawn).toHaveLength(1);
    expect(field.withdrawn[0]?.withdrawal.remaining).toBeNull();
    expect(field.delivered).toHaveLength(1);
    const orderId = confirmed.ok ? confirmed.orderId : '';
    expect(orderStates(db, orderId)[0]?.lastAnswer).toBe('superseded');
  });

  it('passes on what remains when some beds are held', async () => {
    const { confirm, hold, round, field } = scene();
    confirm();
    await round();
    hold(['bed-2']);
    await round();
    expect(field.withdrawn[0]?.withdrawal.remaining?.heldBedIds).toEqual(['bed-2']);
  });

  it('lets an order lapse when its day is over', async () => {
    const { db, confirm, round, later, field } = scene([
      { kind: 'unknown', detail: 'broker away' },
    ]);
    const confirmed = confirm();
    await round();
    later(24 * 3_600_000);
    await round();
    expect(field.delivered).toHaveLength(1);
    const orderId = confirmed.ok ? confirmed.orderId : '';
    expect(orderStates(db, orderId)[0]?.lastAnswer).toBe('lapsed');
  });

  it('calls it unknown when an output throws', async () => {
    const { db, confirm, round, field } = scene();
    field.output.deliver = () => Promise.reject(new Error('socket closed'));
    const confirmed = confirm();
    await round();
    const orderId = confirmed.ok ? confirmed.orderId : '';
    expect(orderStates(db, orderId)[0]).toMatchObject({
      lastAnswer: 'unknown',
      lastDetail: 'socket closed',
    });
  });
});

describe('an output that hangs', () => {
  it('keeps no hold waiting, and is not asked the same again', async () => {
    const { confirm, hold, round, field, memory } = scene();
    let answerLate: (answer: Answer) => void = () => undefined;
    let asked = 0;
    field.output.deliver = () => {
      asked++;
      return new Promise((resolve) => {
        answerLate = resolve;
      });
    };
    confirm();
    const waiting = round();
    await new Promise((resolve) => setTimeout(resolve, 50));
    hold('all');
    const putMs = performance.now();
    // The round ends for it, and the look after it, half a second later at most, sends the hold.
    expect(await waiting).toEqual([]);
    expect(performance.now() - putMs).toBeLessThan(450);
    expect(asked).toBe(1);
    const heldMs = performance.now();
    const told = await round();
    expect(performance.now() - heldMs).toBeLessThan(250);
    expect(told.map(({ order, answer }) => [order.kind, answer.kind])).toEqual([
      ['withdraw', 'accepted'],
    ]);
    answerLate({ kind: 'accepted', detail: 'at last' });
    await Promise.all(memory.underWay.values());
    const late = await round();
    expect(late.map(({ answer }) => answer.detail)).toEqual(['at last']);
  });
});

describe('a hold that was sent and not written', () => {
  it('lets nothing out until it is written, and is then a hold like any other', async () => {
    const { db, confirm, round, field, memory, unwrittenHolds } = scene();
    confirm();
    unwrittenHolds.push({
      who: 'B. Mower',
      why: 'burst pipe',
      beds: 'all',
      untilMs: null,
      atMs: EXAMPLE_MADE_AT_MS,
      stopNo: 1,
    });
    db.pragma('query_only = ON');
    await round();
    expect(memory.storeFault).toMatch(/readonly/);
    expect(field.delivered).toEqual([]);
    db.pragma('query_only = OFF');
    await round();
    expect(unwrittenHolds).toEqual([]);
    expect(openHolds(db)).toMatchObject([{ who: 'B. Mower', beds: 'all' }]);
    expect(field.withdrawn).toHaveLength(1);
    expect(field.delivered).toEqual([]);
  });
});

describe('a database that refuses to be written', () => {
  it('lets holds out and no deliveries, and takes the answers once it can', async () => {
    const { db, confirm, hold, later, round, field, memory } = scene([
      { kind: 'unknown', detail: 'broker away' },
      { kind: 'accepted', detail: 'stopped' },
    ]);
    const confirmed = confirm();
    const orderId = confirmed.ok ? confirmed.orderId : '';
    db.pragma('query_only = ON');
    await round();
    expect(memory.storeFault).toMatch(/readonly/);
    later(120_000);
    await round();
    // The plan is not offered a second time while nobody can remember it.
    expect(field.delivered).toHaveLength(1);
    db.pragma('query_only = OFF');
    const { orderId: holdOrder } = hold('all');
    db.pragma('query_only = ON');
    await round();
    later(120_000);
    await round();
    expect(field.withdrawn).toHaveLength(1);
    expect(orderStates(db, holdOrder)[0]?.lastAnswer).toBeNull();
    db.pragma('query_only = OFF');
    await round();
    expect(memory.storeFault).toBeNull();
    expect(orderStates(db, holdOrder)[0]).toMatchObject({ lastAnswer: 'accepted', attempts: 1 });
    expect(orderStates(db, orderId)[0]?.lastAnswer).toBe('superseded');
    expect(field.delivered).toHaveLength(1);
    expect(field.withdrawn).toHaveLength(1);
  });
});

describe('nextStep', () => {
  const at = (nowMs: number) => ({ newestOrderId: 'a', place: 'file out', nowMs });
  const order = ORDER;

  it.each([
    [1, 2_000],
    [2, 4_000],
    [3, 8_000],
    [5, 32_000],
    [6, 60_000],
    [50, 60_000],
  ])('after %i attempts waits %i ms', (attempts, waitMs) => {
    const asked = { ...order, attempts };
    expect(nextStep(asked, at(100_000 + waitMs - 1))).toEqual({
      do: 'wait',
      untilMs: 100_000 + waitMs,
    });
    expect(nextStep(asked, at(100_000 + waitMs))).toEqual({ do: 'send' });
  });

  it('does not wait for a clock that was stepped back to catch up', () => {
    expect(nextStep(order, at(50_000))).toEqual({ do: 'send' });
  });

  it('lets no plan follow its output to another place, and a withdrawal wherever it writes', () => {
    const fresh = { ...order, attempts: 0, lastAttemptMs: null, toPlace: 'file elsewhere' };
    expect(nextStep(fresh, at(1))).toMatchObject({ do: 'end', as: 'superseded' });
    expect(nextStep({ ...fresh, toPlace: 'file out' }, at(1))).toEqual({ do: 'send' });
    expect(nextStep({ ...fresh, kind: 'withdraw' }, at(1))).toEqual({ do: 'send' });
  });
});

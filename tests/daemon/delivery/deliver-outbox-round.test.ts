import { rmSync } from 'node:fs';
import { afterEach, describe, expect, it, vi } from 'vitest';
import type { Answer, Output, Withdrawal } from '../../../adapters/contract.ts';
import {
  askWanted,
  type DeliveryContext,
  deliverOutbox,
  wantedOf,
} from '../../../daemon/delivery/deliver-outbox.ts';
import { deliveryMemory, orderKey } from '../../../daemon/delivery/delivery-memory.ts';
import { confirmPlan, holdWater } from '../../../daemon/site/gate/gate.ts';
import { CAUTIONS } from '../../../daemon/site/gate/valid-confirm.ts';
import { lastAuditEntries } from '../../../daemon/site/store/audit-log.ts';
import {
  addAttempt,
  addPlaces,
  newestOrders,
  type OrderState,
  orderStates,
} from '../../../daemon/site/store/outbox.ts';
import { siteClock } from '../../../daemon/site/time/site-clock.ts';
import { EXAMPLE_MADE_AT_MS, EXAMPLE_SITE, EXAMPLE_ZONE, examplePlan } from '../../example-plan.ts';
import { rememberPlan, scratchDatabase } from '../../scratch-site.ts';

afterEach(() => vi.useRealTimers());

const clock = siteClock(EXAMPLE_ZONE);
const accepted: Answer = { kind: 'accepted', detail: 'taken' };
const away: Answer = { kind: 'unknown', detail: 'away' };

/** Two outputs, of which the test says what they answer, and a store with a plan of the day. */
function scene() {
  const db = scratchDatabase();
  let nowMs = EXAMPLE_MADE_AT_MS;
  const asked: string[] = [];
  const withdrawals: Withdrawal[] = [];
  const answers = new Map<string, () => Promise<Answer>>();
  const answer = (name: string, orderId: string) => {
    asked.push(`${name} ${orderId.slice(0, 4)}`);
    return answers.get(name)?.() ?? Promise.resolve(accepted);
  };
  const outputOf = (name: string) =>
    ({
      name,
      deliver: (orderId: string) => answer(name, orderId),
      withdraw: (orderId: string, withdrawal: Withdrawal) => {
        withdrawals.push(withdrawal);
        return answer(name, orderId);
      },
    }) as unknown as Output;
  const context: DeliveryContext = {
    db,
    siteId: 'example-site',
    clock,
    outputs: new Map(['file', 'radio'].map((name) => [name, outputOf(name)])),
    now: () => nowMs,
    memory: deliveryMemory(),
  };
  const gate = () => ({ db, clock, site: EXAMPLE_SITE, outputs: ['file', 'radio'], nowMs });
  return {
    db,
    context,
    asked,
    withdrawals,
    answers,
    round: () => deliverOutbox(context),
    later: (byMs: number) => {
      nowMs += byMs;
    },
    confirm: () => {
      const { digest } = rememberPlan(db, examplePlan({ revision: 1 }));
      const cautions = CAUTIONS.map(({ code }) => code);
      const result = confirmPlan(gate(), { revision: 1, digest, who: 'A. Keeper', cautions });
      if (!result.ok) throw new Error(result.refusal.code);
      return result.orderId;
    },
    hold: (beds: 'all' | string[] = 'all') =>
      holdWater(gate(), { who: 'B. Mower', why: 'leak', beds, untilMs: null }),
  };
}
type Scene = ReturnType<typeof scene>;

const states = ({ db }: Scene, orderId: string) =>
  orderStates(db, orderId).map(({ output, lastAnswer }) => `${output}: ${lastAnswer}`);
const lines = ({ db }: Scene, ...kinds: string[]) =>
  lastAuditEntries(db, 99)
    .filter(({ kind }) => kinds.includes(kind))
    .map(({ kind, what }) => `${kind}: ${what}`);

describe('a round of deliveries', () => {
  it('writes down what each output has answered, with the instant and a line', async () => {
    const here = scene();
    const orderId = here.confirm();
    here.answers.set('radio', async () => ({ kind: 'rejected', detail: 'no right' }));
    const told = await here.round();
    expect(told.map(({ order, answer }) => [order.output, answer.kind])).toEqual([
      ['file', 'accepted'],
      ['radio', 'rejected'],
    ]);
    expect(orderStates(here.db, orderId)).toMatchObject([
      { output: 'file', lastAnswer: 'accepted', lastDetail: 'taken', attempts: 1 },
      { output: 'radio', lastAnswer: 'rejected', lastAttemptMs: EXAMPLE_MADE_AT_MS },
    ]);
    expect(lines(here, 'sent', 'send_failed')).toEqual([
      `sent: deliver ${orderId} to file: accepted, taken`,
      `send_failed: deliver ${orderId} to radio: rejected, no right`,
    ]);
    expect(await here.round(), 'each answer is told once').toEqual([]);
    expect(here.context.memory.underWay.size).toBe(0);
  });

  it('sends holds before plans, whichever was owed first', async () => {
    const here = scene();
    here.confirm();
    const { outputs, ...gate } = { ...here.context, outputs: ['radio'], nowMs: EXAMPLE_MADE_AT_MS };
    holdWater({ ...gate, outputs }, { who: 'B', why: 'leak', beds: ['bed-1'], untilMs: null });
    await here.round();
    expect(here.asked).toEqual(['radio hold', 'file 2026']);
  });

  it('passes a hold on with what remains, by the instant that it was put on', async () => {
    const here = scene();
    here.confirm();
    here.hold(['bed-2']);
    here.later(86_400_000 / 2);
    await here.round();
    expect(here.withdrawals[0]).toMatchObject({
      siteId: 'example-site',
      siteDay: '2026-07-01',
      beds: ['bed-2'],
      who: 'B. Mower',
      why: 'leak',
      atMs: EXAMPLE_MADE_AT_MS,
      remaining: { heldBedIds: ['bed-2'] },
    });
  });

  it('writes one line for the same unknown answer over and over', async () => {
    const here = scene();
    const orderId = here.confirm();
    here.answers.set('file', async () => away);
    await here.round();
    expect(lines(here, 'send_failed')).toHaveLength(1);
    here.later(2_000);
    await here.round();
    here.later(4_000);
    here.answers.set('file', async () => accepted);
    await here.round();
    expect(orderStates(here.db, orderId)[0]).toMatchObject({ attempts: 3 });
    expect(lines(here, 'sent', 'send_failed').filter((line) => line.includes('file'))).toEqual([
      `send_failed: deliver ${orderId} to file: unknown, away`,
      `sent: deliver ${orderId} to file: accepted, taken`,
    ]);
  });

  it('calls it unknown where an output is not in the config now', async () => {
    const here = scene();
    const orderId = here.confirm();
    const outputs = new Map(here.context.outputs);
    outputs.delete('radio');
    await deliverOutbox({ ...here.context, outputs });
    expect(orderStates(here.db, orderId)[1]).toMatchObject({
      lastAnswer: 'unknown',
      lastDetail: 'this output is not in the config now',
    });
  });

  it('calls it unknown after two and a half minutes without an answer', async () => {
    const here = scene();
    const orderId = here.confirm();
    vi.useFakeTimers();
    here.answers.set('file', () => new Promise(() => undefined));
    const first = here.round();
    await vi.advanceTimersByTimeAsync(2_000);
    expect((await first).map(({ order }) => order.output)).toEqual(['radio']);
    await vi.advanceTimersByTimeAsync(147_999);
    expect(states(here, orderId)).toEqual(['file: null', 'radio: accepted']);
    expect(here.context.memory.underWay.size).toBe(1);
    await vi.advanceTimersByTimeAsync(1);
    expect(orderStates(here.db, orderId)[0]).toMatchObject({
      lastAnswer: 'unknown',
      lastDetail: 'no answer in 150 s',
    });
    expect(here.context.memory.underWay.size).toBe(0);
  });

  it('calls it unknown with what was thrown, whatever that is', async () => {
    const here = scene();
    const orderId = here.confirm();
    here.answers.set('file', () => Promise.reject('a text'));
    await here.round();
    expect(orderStates(here.db, orderId)[0]?.lastDetail).toBe('a text');
  });

  it('ends as soon as all have answered, and at two seconds where one has not', async () => {
    const here = scene();
    here.confirm();
    vi.useFakeTimers();
    here.answers.set('file', () => new Promise(() => undefined));
    let isDone = false;
    void here.round().then(() => {
      isDone = true;
    });
    await vi.advanceTimersByTimeAsync(1_999);
    expect(isDone).toBe(false);
    await vi.advanceTimersByTimeAsync(1);
    expect(isDone).toBe(true);
    // Nothing to wait for: no timer has to pass.
    expect(await here.round()).toEqual([]);
  });

  it('looks every fifth of a second whether something newer is owed', async () => {
    const here = scene();
    here.confirm();
    vi.useFakeTimers();
    here.answers.set('file', () => new Promise(() => undefined));
    let isDone = false;
    void here.round().then(() => {
      isDone = true;
    });
    await vi.advanceTimersByTimeAsync(399);
    here.hold();
    expect(isDone).toBe(false);
    await vi.advanceTimersByTimeAsync(1);
    expect(isDone).toBe(true);
  });

  it('does not ask what is under way again', async () => {
    const here = scene();
    const orderId = here.confirm();
    const key = orderKey({ orderId, output: 'file' });
    here.context.memory.underWay.set(key, Promise.resolve());
    await here.round();
    expect(here.asked).toEqual(['radio 2026']);
  });

  it('delivers nothing where nobody has looked yet, and passes holds on', async () => {
    const here = scene();
    here.confirm();
    const context = { ...here.context, looksFirst: true };
    context.memory.lookedAt.add('radio');
    await deliverOutbox(context);
    expect(here.asked).toEqual(['radio 2026']);
    here.hold();
    await deliverOutbox(context);
    expect(here.asked).toEqual(['radio 2026', 'file hold', 'radio hold']);
  });

  it('lets no plan follow its output to another place', async () => {
    const here = scene();
    addPlaces(here.db, [{ output: 'file', place: 'file before', config: '{}' }], 1);
    const orderId = here.confirm();
    await deliverOutbox({ ...here.context, places: new Map([['file', 'file now']]) });
    expect(here.asked).toEqual(['radio 2026']);
    expect(orderStates(here.db, orderId)[0]).toMatchObject({
      lastAnswer: 'superseded',
      lastDetail: 'file writes to another place now; confirm a fresh plan',
      lastAttemptMs: EXAMPLE_MADE_AT_MS,
    });
  });

  it('ends nothing in a store that cannot be written', async () => {
    const here = scene();
    const orderId = here.confirm();
    const { orderId: holdId } = here.hold();
    here.db.pragma('query_only = ON');
    await here.round();
    expect(here.context.memory.storeFault).toMatch(/readonly/);
    await here.round();
    expect(states(here, orderId)).toEqual(['file: null', 'radio: null']);
    expect(states(here, holdId)).toEqual(['file: null', 'radio: null']);
    // Sent once, and remembered as such although nothing could be written.
    expect(here.asked).toEqual(['file hold', 'radio hold']);
    here.db.pragma('query_only = OFF');
    await here.round();
    expect(states(here, holdId)).toEqual(['file: accepted', 'radio: accepted']);
    expect(states(here, orderId)).toEqual(['file: superseded', 'radio: superseded']);
    expect(here.context.memory.unwritten.size).toBe(0);
    expect(lines(here, 'sent')).toHaveLength(2);
  });

  it('passes a hold on where the database refuses that the one before it is over', async () => {
    const here = scene();
    for (const name of ['file', 'radio']) here.answers.set(name, async () => away);
    here.hold(['bed-1']);
    await here.round();
    here.hold();
    here.answers.clear();
    here.db.pragma('query_only = ON');
    const told = await here.round();
    expect(told.map(({ answer }) => answer.kind)).toEqual(['accepted', 'accepted']);
    expect(here.withdrawals.at(-1)?.beds).toBe('all');
  });

  it('says that the database refuses where all it had to take was an end', async () => {
    const here = scene();
    const orderId = here.confirm();
    here.later(24 * 3_600_000);
    here.db.pragma('query_only = ON');
    expect(await here.round()).toEqual([]);
    expect(here.context.memory.storeFault).toMatch(/readonly/);
    here.db.pragma('query_only = OFF');
    await here.round();
    expect(states(here, orderId)).toEqual(['file: lapsed', 'radio: lapsed']);
  });

  it('ends nothing in a database that is gone', async () => {
    const here = scene();
    const orderId = here.confirm();
    here.later(24 * 3_600_000);
    const [{ file }] = here.db.pragma('database_list') as [{ file: string }];
    rmSync(file);
    await here.round();
    expect(here.context.memory.storeFault).toMatch(/was deleted/);
    expect(states(here, orderId)).toEqual(['file: null', 'radio: null']);
  });

  it('asks a hold again after ten seconds where its answer is unknown and unwritten', async () => {
    const here = scene();
    here.hold();
    for (const name of ['file', 'radio']) here.answers.set(name, async () => away);
    here.db.pragma('query_only = ON');
    await here.round();
    here.later(9_999);
    await here.round();
    expect(here.asked).toHaveLength(2);
    here.later(1);
    await here.round();
    expect(here.asked).toHaveLength(4);
  });

  it('says of an order without a hold in the store that it has none', async () => {
    const here = scene();
    const { orderId } = here.hold();
    here.db.pragma('foreign_keys = OFF');
    here.db.exec('DROP TRIGGER IF EXISTS owed_no_update');
    here.db.prepare('UPDATE owed SET hold_id = NULL').run();
    await here.round();
    expect(orderStates(here.db, orderId)[0]).toMatchObject({
      lastAnswer: 'rejected',
      lastDetail: 'its stop is not in the store',
    });
    expect(here.asked).toEqual([]);
  });

  it('offers holds that the store lacks under the names of all outputs', async () => {
    const here = scene();
    const stop = { who: 'B. Mower', why: 'leak', beds: 'all' as const, untilMs: null };
    const unwrittenHolds = [{ ...stop, stopNo: 1, atMs: EXAMPLE_MADE_AT_MS }];
    await deliverOutbox({ ...here.context, unwrittenHolds });
    expect(unwrittenHolds).toEqual([]);
    expect(here.asked).toEqual(['file hold', 'radio hold']);
  });
});

describe('what an order wants', () => {
  it('is the plan as it stands, or nothing where it does not', () => {
    const here = scene();
    const orderId = here.confirm();
    const [order] = newestOrders(here.db);
    if (order === undefined) throw new Error('nothing is owed');
    expect(wantedOf(here.context, order)).toMatchObject({ kind: 'deliver', orderId });
    expect(wantedOf(here.context, { ...order, confirmationId: null })).toBeNull();
    here.hold();
    expect(wantedOf(here.context, order)).toBeNull();
  });

  it('is the hold, also where no plan was ever confirmed', () => {
    const here = scene();
    const { orderId } = here.hold();
    const [order] = newestOrders(here.db);
    expect(wantedOf(here.context, order as OrderState)).toMatchObject({
      kind: 'withdraw',
      orderId,
      withdrawal: { remaining: null, siteDay: '2026-07-01' },
    });
  });

  it('is asked of an output by its kind', async () => {
    const here = scene();
    here.confirm();
    const [order] = newestOrders(here.db);
    const wanted = order && wantedOf(here.context, order);
    const [output] = here.context.outputs.values();
    if (wanted == null || output === undefined) throw new Error('nothing is wanted');
    expect(await askWanted(output, wanted)).toEqual(accepted);
    addAttempt(here.db, { ...(order as OrderState), atMs: 1, answer: 'accepted', detail: '' });
    expect(here.withdrawals).toEqual([]);
  });
});

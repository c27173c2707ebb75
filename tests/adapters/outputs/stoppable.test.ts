import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import type {
  Answer,
  ConfirmedPlan,
  Found,
  Output,
  StopNow,
  Wanted,
  Withdrawal,
} from '../../../adapters/contract.ts';
import { stoppable } from '../../../adapters/outputs/stoppable.ts';
import { EXAMPLE_MADE_AT_MS } from '../../example-plan.ts';
import { confirmedExample, EXAMPLE_CLOCK, holdExample } from './output-context.ts';

beforeEach(() => void vi.useFakeTimers());
afterEach(() => void vi.useRealTimers());
const pass = (ms: number) => vi.advanceTimersByTimeAsync(ms);

const accepted: Answer = { kind: 'accepted', detail: 'taken' };
const away: Answer = { kind: 'unknown', detail: 'away' };
const WAITS: Answer = {
  kind: 'unknown',
  detail: 'a stop came first; nothing is delivered until the store knows of it',
};
const ALL_BEDS = ['bed-1', 'bed-2', 'bed-3'];

/** An output of which the test says what it answers and finds. */
function scene(change: Partial<Output> = {}) {
  const state = {
    answer: async (): Promise<Answer> => accepted,
    found: async (_: Wanted | null): Promise<Found> => ({ kind: 'as_wanted' }),
  };
  const acts: string[] = [];
  const withdrawn: { orderId: string; withdrawal: Withdrawal }[] = [];
  const looked: (Wanted | null)[] = [];
  const inner = {
    name: 'file',
    start: async () => void acts.push('start'),
    stop: async () => void acts.push('stop'),
    health: () => ({ ok: true, detail: 'well' }),
    deliver: (orderId: string) => {
      acts.push(`deliver ${orderId}`);
      return state.answer();
    },
    withdraw: (orderId: string, withdrawal: Withdrawal) => {
      acts.push(`withdraw ${orderId}`);
      withdrawn.push({ orderId, withdrawal });
      return state.answer();
    },
    find: (wanted: Wanted | null) => {
      looked.push(wanted);
      return state.found(wanted);
    },
    ...change,
  } as Output;
  const output = stoppable(inner, { siteId: 'example-site', clock: EXAMPLE_CLOCK });
  const heldOf = (withdrawal: Withdrawal | undefined) => withdrawal?.remaining?.heldBedIds ?? null;
  return { output, state, acts, withdrawn, looked, heldOf };
}

const stop = (stopNo: number, beds: StopNow['beds'] = 'all'): StopNow => ({
  stopNo,
  beds,
  who: 'B. Tester (invented)',
  why: 'burst pipe',
  atMs: EXAMPLE_MADE_AT_MS,
});
const plan: ConfirmedPlan = confirmedExample();

describe('a stop of an output', () => {
  it('of everything goes out at once, under an id of its own, and looks at nothing', async () => {
    const { output, withdrawn, looked } = scene();
    await output.deliver('o-1', plan);
    expect(await output.stopNow(stop(7))).toEqual(accepted);
    expect(withdrawn).toEqual([
      {
        orderId: `stop-7-${EXAMPLE_MADE_AT_MS}`,
        withdrawal: {
          siteId: 'example-site',
          siteDay: '2026-07-01',
          beds: 'all',
          who: 'B. Tester (invented)',
          why: 'burst pipe',
          atMs: EXAMPLE_MADE_AT_MS,
          remaining: null,
        },
      },
    ]);
    expect(looked).toEqual([]);
  });

  it('of one bed leaves the others what was delivered last', async () => {
    const { output, withdrawn, looked } = scene();
    await output.deliver('o-1', plan);
    expect(await output.stopNow(stop(7, ['bed-2']))).toEqual(accepted);
    expect(looked).toEqual([{ kind: 'deliver', orderId: 'o-1', confirmed: plan }]);
    expect(withdrawn[0]?.withdrawal).toMatchObject({
      beds: ['bed-2'],
      remaining: { digest: plan.digest, heldBedIds: ['bed-2'] },
    });
  });

  it('of one bed after a withdrawal leaves what that has left', async () => {
    const { output, withdrawn, heldOf } = scene();
    const remaining = confirmedExample({ heldBedIds: ['bed-1'] });
    await output.withdraw('o-2', holdExample({ beds: ['bed-1'], remaining }));
    await output.stopNow(stop(7, ['bed-2']));
    expect(heldOf(withdrawn[1]?.withdrawal)).toEqual(['bed-1', 'bed-2']);
    await output.stopNow(stop(8, ['bed-2', 'bed-3']));
    expect(heldOf(withdrawn[2]?.withdrawal)).toEqual(ALL_BEDS);
  });

  it.each<[string, (here: ReturnType<typeof scene>) => Promise<unknown>]>([
    ['nothing was put out yet', async () => undefined],
    [
      'the last delivery was not taken',
      ({ output, state }) => {
        state.answer = async () => away;
        return output.deliver('o-1', plan).then(() => {
          state.answer = async () => accepted;
        });
      },
    ],
    [
      'the last withdrawal was not taken',
      ({ output, state }) => {
        state.answer = async () => away;
        const hold = holdExample({ beds: ['bed-1'], remaining: plan });
        return output.withdraw('o-2', hold).then(() => {
          state.answer = async () => accepted;
        });
      },
    ],
    ['everything was withdrawn', ({ output }) => output.withdraw('o-2', holdExample())],
    [
      'something else stands there',
      async ({ output, state }) => {
        await output.deliver('o-1', plan);
        state.found = async () => ({ kind: 'nothing', detail: '' });
      },
    ],
    [
      'the look fails',
      async ({ output, state }) => {
        await output.deliver('o-1', plan);
        state.found = () => Promise.reject(new Error('no right'));
      },
    ],
  ])('of one bed is one of everything where %s', async (_, prepare) => {
    const here = scene();
    await prepare(here);
    const answer = await here.output.stopNow(stop(7, ['bed-2']));
    expect(answer).toEqual({ kind: 'accepted', detail: 'taken; every bed, to be safe' });
    expect(here.withdrawn.at(-1)?.withdrawal).toMatchObject({ beds: 'all', remaining: null });
  });

  it('looks for four tenths of a second and no longer', async () => {
    const { output, state, withdrawn } = scene();
    await output.deliver('o-1', plan);
    state.found = () => new Promise(() => undefined);
    void output.stopNow(stop(7, ['bed-2']));
    await pass(399);
    expect(withdrawn).toEqual([]);
    await pass(1);
    expect(withdrawn[0]?.withdrawal.beds).toBe('all');
  });

  it('takes an order that was found as wanted for what stands there', async () => {
    const { output, withdrawn, state } = scene();
    const wanted: Wanted = { kind: 'deliver', orderId: 'o-9', confirmed: plan };
    expect(await output.find(wanted)).toEqual({ kind: 'as_wanted' });
    await output.stopNow(stop(7, ['bed-2']));
    expect(withdrawn[0]?.withdrawal.beds).toEqual(['bed-2']);
    const other = scene();
    state.found = async () => ({ kind: 'as_wanted' });
    other.state.found = async () => ({ kind: 'nothing', detail: '' });
    await other.output.find(wanted);
    await other.output.find(null);
    other.state.found = async () => ({ kind: 'as_wanted' });
    await other.output.stopNow(stop(7, ['bed-2']));
    expect(other.withdrawn[0]?.withdrawal.beds).toBe('all');
  });

  it('does not take nothing, found as wanted, for an order', async () => {
    const { output, looked } = scene();
    await output.deliver('o-1', plan);
    await output.find(null);
    await output.stopNow(stop(7, ['bed-2']));
    expect(looked.at(-1)).toMatchObject({ orderId: 'o-1' });
  });
});

describe('a stop that is not taken', () => {
  it('is tried again after a quarter of a second, twice that, up to five seconds', async () => {
    const { output, state, withdrawn } = scene();
    state.answer = async () => away;
    void output.stopNow(stop(7));
    const triedMs: number[] = [];
    const beganMs = Date.now();
    await pass(0);
    for (let i = 0; i < 30_000 && triedMs.length < 9; i += 50) {
      while (triedMs.length < withdrawn.length) triedMs.push(Date.now() - beganMs);
      await pass(50);
    }
    const waitsMs = triedMs.slice(1).map((atMs, i) => atMs - (triedMs[i] ?? 0));
    expect(waitsMs).toEqual([250, 500, 1_000, 2_000, 4_000, 5_000, 5_000, 5_000]);
    expect(new Set(withdrawn.map(({ orderId }) => orderId)).size).toBe(1);
    state.answer = async () => accepted;
    await pass(5_000);
    const tries = withdrawn.length;
    await pass(60_000);
    expect(withdrawn).toHaveLength(tries);
  });

  it('tells after two seconds what it has come to', async () => {
    const { output, state } = scene();
    let answers = 0;
    state.answer = async () => ({ kind: 'unknown', detail: `away ${++answers}` });
    let told: Answer | null = null;
    void output.stopNow(stop(7)).then((answer) => {
      told = answer;
    });
    await pass(1_999);
    expect(told).toBeNull();
    await pass(1);
    expect(told).toEqual({ kind: 'unknown', detail: 'away 4' });
  });

  it('tells after two seconds that there was no answer', async () => {
    const { output, state } = scene();
    state.answer = () => new Promise(() => undefined);
    const told = output.stopNow(stop(7));
    await pass(2_000);
    expect(await told).toEqual({ kind: 'unknown', detail: 'no answer in 2 s' });
  });

  it('tells what an output that throws has thrown, and tries again', async () => {
    const { output, state, withdrawn } = scene();
    state.answer = () => Promise.reject(new Error('no line'));
    const told = output.stopNow(stop(7));
    await pass(2_000);
    expect(await told).toEqual({ kind: 'unknown', detail: 'Error: no line' });
    expect(withdrawn.length).toBeGreaterThan(2);
  });

  it.each<[string, number, (here: ReturnType<typeof scene>) => unknown]>([
    ['the store knows of it', 1, ({ output }) => output.storeKnows(7)],
    ['the output is stopped', 1, ({ output }) => output.stop()],
    ['a newer stop says all of it', 1, ({ output }) => void output.stopNow(stop(8))],
  ])('is tried no more once %s', async (_, count, act) => {
    const here = scene();
    here.state.answer = async () => away;
    void here.output.stopNow(stop(7));
    await pass(0);
    await act(here);
    await pass(60_000);
    const tries = here.withdrawn.filter(({ orderId }) => orderId.startsWith('stop-7-'));
    expect(tries).toHaveLength(count);
  });

  it('is told by what the store asks for, which has overtaken it', async () => {
    const here = scene();
    here.state.answer = async () => away;
    let told: Answer | null = null;
    void here.output.stopNow(stop(7)).then((answer) => {
      told = answer;
    });
    await pass(0);
    here.output.storeKnows(7);
    await here.output.withdraw('h-1', holdExample());
    await pass(0);
    expect(told, 'not taken either').toBeNull();
    here.state.answer = async () => accepted;
    await here.output.withdraw('h-2', holdExample());
    await pass(0);
    expect(told).toEqual(accepted);
    await pass(60_000);
    expect(here.withdrawn.map(({ orderId }) => orderId).slice(1)).toEqual(['h-1', 'h-2']);
  });

  it('is not told by what was asked after it was told', async () => {
    const here = scene();
    here.state.answer = async () => away;
    const told = here.output.stopNow(stop(7));
    await pass(2_000);
    here.state.answer = async () => accepted;
    await here.output.withdraw('h-1', holdExample());
    expect(await told).toEqual(away);
  });
});

describe('until the store knows of a stop', () => {
  it('nothing is delivered', async () => {
    const { output, acts } = scene();
    await output.stopNow(stop(7));
    expect(await output.deliver('o-1', plan)).toEqual(WAITS);
    output.storeKnows(6);
    expect(await output.deliver('o-1', plan)).toEqual(WAITS);
    output.storeKnows(7);
    expect(await output.deliver('o-1', plan)).toEqual(accepted);
    expect(acts.filter((act) => act.startsWith('deliver'))).toEqual(['deliver o-1']);
  });

  it('a delivery that was under way counts for nothing', async () => {
    const { output, state, withdrawn } = scene();
    let settle = (_: Answer) => {};
    state.answer = () => new Promise((resolve) => (settle = resolve));
    const delivering = output.deliver('o-1', plan);
    const take = settle;
    state.answer = async () => accepted;
    await output.stopNow(stop(7));
    take(accepted);
    expect(await delivering).toEqual(WAITS);
    await output.stopNow(stop(8, ['bed-2']));
    expect(withdrawn[1]?.withdrawal.beds).toBe('all');
  });

  it('a withdrawal waters nothing that was stopped, under an id of its own', async () => {
    const { output, withdrawn } = scene();
    await output.deliver('o-1', plan);
    await output.stopNow(stop(7, ['bed-2']));
    const remaining = confirmedExample({ heldBedIds: ['bed-1'] });
    const hold = holdExample({ beds: ['bed-1'], remaining });
    expect(await output.withdraw('o-2', hold)).toEqual(accepted);
    expect(withdrawn[1]).toMatchObject({
      orderId: `stop-7-${EXAMPLE_MADE_AT_MS}-with-o-2`,
      withdrawal: { beds: ['bed-2'], remaining: { heldBedIds: ['bed-1', 'bed-2'] } },
    });
    await output.stopNow(stop(8));
    await output.withdraw('o-3', hold);
    expect(withdrawn[3]).toMatchObject({
      orderId: `stop-8-${EXAMPLE_MADE_AT_MS}-with-o-3`,
      withdrawal: { beds: 'all', remaining: null, why: 'burst pipe' },
    });
    output.storeKnows(8);
    await output.withdraw('o-4', hold);
    expect(withdrawn[4]).toEqual({ orderId: 'o-4', withdrawal: hold });
  });

  it('what has to stand is the stop, whatever is wanted', async () => {
    const { output, looked } = scene();
    const wanted: Wanted = { kind: 'deliver', orderId: 'o-1', confirmed: plan };
    const orderId = `stop-7-${EXAMPLE_MADE_AT_MS}`;
    await output.stopNow(stop(7));
    expect(await output.find(wanted)).toEqual({ kind: 'as_wanted' });
    expect(looked.at(-1)).toMatchObject({ kind: 'withdraw', orderId });
    output.storeKnows(7);
    await output.find(wanted);
    expect(looked.at(-1)).toBe(wanted);
  });

  it('what has to stand is what is wanted, where no stop was taken yet', async () => {
    const { output, looked, state } = scene();
    state.answer = async () => away;
    void output.stopNow(stop(7));
    await pass(0);
    const wanted: Wanted = { kind: 'deliver', orderId: 'o-1', confirmed: plan };
    await output.find(wanted);
    expect(looked.at(-1)).toBe(wanted);
  });
});

describe('what an output passes through', () => {
  it('its name, its start, its stop, and how it is', async () => {
    const { output, acts } = scene();
    await output.start();
    await output.stop();
    expect(acts).toEqual(['start', 'stop']);
    expect(output.name).toBe('file');
    expect(output.health()).toEqual({ ok: true, detail: 'well' });
    expect('tell' in output).toBe(false);
    expect('keepsPastOrders' in output).toBe(false);
  });

  it('news, and that past orders stay, where it can', async () => {
    const tell = async () => accepted;
    const { output } = scene({ tell, keepsPastOrders: true });
    expect(await output.tell?.({} as never)).toEqual(accepted);
    expect(output.keepsPastOrders).toBe(true);
    expect(scene({ keepsPastOrders: false }).output.keepsPastOrders).toBe(false);
  });

  it('a stop that is tried again after a new start', async () => {
    const { output, state, withdrawn } = scene();
    state.answer = async () => away;
    await output.stop();
    void output.stopNow(stop(7));
    await pass(1_000);
    expect(withdrawn).toHaveLength(1);
    await output.start();
    void output.stopNow(stop(8));
    await pass(1_000);
    expect(withdrawn.length).toBeGreaterThan(3);
  });
});

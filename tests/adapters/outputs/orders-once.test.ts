import { describe, expect, it, vi } from 'vitest';
import type { Answer } from '../../../adapters/contract.ts';
import { holdsFirst, oncePerOrder, settledWithin } from '../../../adapters/outputs/holds-first.ts';
import { compareClocks, REAL_TIMERS } from '../../../adapters/outputs/timers.ts';

const accepted = (detail = 'taken'): Answer => ({ kind: 'accepted', detail });
const unknown: Answer = { kind: 'unknown', detail: 'away' };

describe('oncePerOrder', () => {
  it('answers a repeat of what was accepted out of its memory', async () => {
    const once = oncePerOrder();
    const act = vi.fn(async () => accepted());
    expect(await once('a', act)).toEqual(accepted());
    expect(await once('a', act)).toEqual(accepted('taken (the order was repeated)'));
    expect(await once('b', act)).toEqual(accepted());
    expect(act).toHaveBeenCalledTimes(2);
    once.forget('a');
    expect(await once('a', act)).toEqual(accepted());
    expect(act).toHaveBeenCalledTimes(3);
  });

  it.each<[string, () => Promise<Answer>]>([
    ['unknown', async () => unknown],
    ['rejected', async () => ({ kind: 'rejected', detail: 'no' })],
    ['thrown', () => Promise.reject(new Error('x'))],
  ])('tries again what was %s', async (_, first) => {
    const once = oncePerOrder();
    await once('a', first).catch(() => undefined);
    expect(await once('a', async () => accepted())).toEqual(accepted());
  });

  it('shares what is under way', async () => {
    const once = oncePerOrder();
    let settle = (_: Answer) => {};
    const act = vi.fn(() => new Promise<Answer>((resolve) => (settle = resolve)));
    const both = [once('a', act), once('a', act)];
    settle(unknown);
    expect(await Promise.all(both)).toEqual([unknown, unknown]);
    expect(act).toHaveBeenCalledTimes(1);
  });

  it('remembers a thousand', async () => {
    const once = oncePerOrder();
    const act = vi.fn(async () => accepted());
    for (let i = 0; i < 1_000; i++) await once(`o-${i}`, act);
    await once('o-0', act);
    expect(act).toHaveBeenCalledTimes(1_000);
    await once('o-1000', act);
    await once('o-1', act);
    expect(act).toHaveBeenCalledTimes(1_001);
    await once('o-0', act);
    expect(act).toHaveBeenCalledTimes(1_002);
  });
});

describe('holdsFirst', () => {
  it('answers a repeat out of its memory, and forgets what does not stand', async () => {
    const desk = holdsFirst();
    const act = vi.fn(async () => accepted());
    await desk.deliver('a', act);
    await desk.deliver('a', act);
    expect(act).toHaveBeenCalledTimes(1);
    desk.forget('a');
    await desk.deliver('a', act);
    expect(act).toHaveBeenCalledTimes(2);
    await desk.withdraw('h', act);
    await desk.withdraw('h', act);
    expect(act).toHaveBeenCalledTimes(3);
  });

  it('carries deliveries out one behind the other, also behind one that fails', async () => {
    const desk = holdsFirst();
    const sequence: string[] = [];
    const act =
      (name: string, fails = false) =>
      async () => {
        sequence.push(`${name} begins`);
        await new Promise((resolve) => setImmediate(resolve));
        sequence.push(`${name} ends`);
        if (fails) throw new Error(name);
        return accepted();
      };
    const first = desk.deliver('a', act('a', true));
    const second = desk.deliver('b', act('b'));
    await expect(first).rejects.toThrow('a');
    expect(await second).toEqual(accepted());
    expect(sequence).toEqual(['a begins', 'a ends', 'b begins', 'b ends']);
  });

  it('lets a hold overtake a hold', async () => {
    const desk = holdsFirst();
    const first = desk.withdraw('h-1', () => new Promise(() => undefined));
    await Promise.resolve();
    expect(await desk.withdraw('h-2', async () => accepted())).toEqual(accepted());
    expect(await first).toEqual({ kind: 'unknown', detail: 'overtaken by h-2 while under way' });
    expect(await desk.withdraw('h-1', async () => accepted())).toEqual({
      kind: 'rejected',
      detail: 'overtaken by h-2',
    });
  });

  it('does not take what has ended for overtaken', async () => {
    const desk = holdsFirst();
    await desk.deliver('a', async () => unknown);
    await desk.withdraw('h', async () => accepted());
    expect(await desk.deliver('a', async () => accepted())).toEqual(accepted());
  });

  it('remembers a thousand that were overtaken', async () => {
    const desk = holdsFirst();
    const hangs = () => new Promise<Answer>(() => undefined);
    for (let i = 0; i < 1_000; i++) void desk.deliver(`o-${i}`, hangs);
    await desk.withdraw('h-1', async () => accepted());
    const again = async (orderId: string) =>
      (await Promise.race([desk.deliver(orderId, async () => accepted()), tick()]))?.kind ?? null;
    expect(await again('o-0')).toBe('rejected');
    void desk.withdraw('h-2', hangs);
    await tick();
    await desk.withdraw('h-3', async () => accepted());
    expect(await again('o-1')).toBe('rejected');
    // The oldest is forgotten, and waits its turn behind those that hang.
    expect(await again('o-0')).toBeNull();
  });

  it('cuts short at its close what has not ended in time, and only that', async () => {
    vi.useFakeTimers();
    const desk = holdsFirst();
    let settle = (_: Answer) => {};
    const slow = desk.deliver('a', () => new Promise((resolve) => (settle = resolve)));
    const closing = desk.close(500);
    await vi.advanceTimersByTimeAsync(499);
    settle(accepted());
    await closing;
    expect(await slow).toEqual(accepted());
    const hanging = desk.deliver('b', () => new Promise(() => undefined));
    await vi.advanceTimersByTimeAsync(0);
    const closed = desk.close(500);
    await vi.advanceTimersByTimeAsync(500);
    await closed;
    expect(await hanging).toEqual({ kind: 'unknown', detail: 'the output was stopped under it' });
    vi.useRealTimers();
  });
});

describe('settledWithin', () => {
  it.each<[string, () => Promise<unknown>, boolean]>([
    ['ends well', () => Promise.resolve(), true],
    ['ends badly', () => Promise.reject(new Error('x')), true],
    ['hangs', () => new Promise(() => undefined), false],
  ])('work that %s', async (_, work, isSettled) => {
    expect(await settledWithin(work(), 5)).toBe(isSettled);
  });

  it('leaves no timer behind', async () => {
    vi.useFakeTimers();
    await settledWithin(Promise.resolve(), 60_000);
    expect(vi.getTimerCount()).toBe(0);
    vi.useRealTimers();
  });
});

describe('lookAgain', () => {
  const before = { nowMs: 10_000, monoMs: 500, notBeforeMs: 3_000, jumpMs: 7 };
  it.each([
    [
      { nowMs: 11_000, monoMs: 1_500 },
      { notBeforeMs: 3_000, jumpMs: 0 },
    ],
    [
      { nowMs: 12_999, monoMs: 1_500 },
      { notBeforeMs: 3_000, jumpMs: 0 },
    ],
    [
      { nowMs: 13_000, monoMs: 1_500 },
      { notBeforeMs: 13_000, jumpMs: 2_000 },
    ],
    [
      { nowMs: 9_001, monoMs: 1_500 },
      { notBeforeMs: 3_000, jumpMs: 0 },
    ],
    [
      { nowMs: 9_000, monoMs: 1_500 },
      { notBeforeMs: 3_000, jumpMs: -2_000 },
    ],
    [
      { nowMs: 2_000, monoMs: 1_500 },
      { notBeforeMs: 2_000, jumpMs: -9_000 },
    ],
  ])('at %j', (now, seen) => {
    expect(compareClocks(before, now)).toEqual({ ...now, ...seen });
  });

  it('has nothing to compare with at first', () => {
    const now = { nowMs: 1, monoMs: 2 };
    expect(compareClocks(null, now)).toEqual({ ...now, notBeforeMs: -Infinity, jumpMs: 0 });
  });
});

describe('real timers', () => {
  it('call after a while, unless they are called off', async () => {
    const called: string[] = [];
    const begunMs = REAL_TIMERS.monoMs();
    REAL_TIMERS.later(5, () => called.push('kept'));
    REAL_TIMERS.later(5, () => called.push('called off'))();
    await new Promise((resolve) => setTimeout(resolve, 30));
    expect(called).toEqual(['kept']);
    expect(REAL_TIMERS.monoMs() - begunMs).toBeGreaterThan(4);
  });
});

function tick(): Promise<undefined> {
  return new Promise((resolve) => setImmediate(() => resolve(undefined)));
}

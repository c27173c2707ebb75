import { afterEach, describe, expect, it, vi } from 'vitest';
import type { Found } from '../../../adapters/contract.ts';
import { orderKey } from '../../../daemon/delivery/delivery-memory.ts';
import { readBack, readBackMemory } from '../../../daemon/delivery/read-back.ts';
import { addPlaces, orderStates } from '../../../daemon/site/store/outbox.ts';
import { EXAMPLE_MADE_AT_MS } from '../../example-plan.ts';
import { MIN_MS, nothing, scene, strange, unseen } from './read-back-rig.ts';

afterEach(() => vi.useRealTimers());

describe('readBack keeps its hands off', () => {
  it('an output whose sending is under way, and no other', async () => {
    const { round, taken, finds, context, looked } = scene();
    const orderId = taken();
    finds(nothing);
    const key = orderKey({ orderId: 'any', output: 'file' });
    context.memory.underWay.set(key, Promise.resolve());
    expect(await round()).toEqual([]);
    expect(looked).toEqual([]);
    context.memory.underWay.delete(key);
    context.memory.underWay.set(orderKey({ orderId, output: 'other' }), Promise.resolve());
    expect(await round()).toHaveLength(1);
  });

  it('an output that is being looked at, until it answers', async () => {
    const { round, finds, looked, memory } = scene();
    let settle = (_: Found) => {};
    finds(() => new Promise((resolve) => (settle = resolve)));
    vi.useFakeTimers();
    const first = round();
    await vi.advanceTimersByTimeAsync(1_499);
    expect([...memory.underWay]).toEqual(['file']);
    await vi.advanceTimersByTimeAsync(1);
    expect(await first).toEqual([]);
    await round();
    expect(looked).toHaveLength(1);
    settle({ kind: 'as_wanted' });
    await vi.advanceTimersByTimeAsync(0);
    expect([...memory.underWay]).toEqual([]);
    void round();
    expect(looked).toHaveLength(2);
  });

  it('an output that became owed something newer while it was looked at', async () => {
    const { round, taken, finds, hold, delivered, memory } = scene();
    taken();
    finds(async () => {
      hold();
      return nothing;
    });
    expect(await round()).toEqual([]);
    expect(delivered).toEqual([]);
    expect(memory.seen.get('file')?.putRightMs).toEqual([]);
  });

  it('a plan, while the store cannot be written, or lacks a stop', async () => {
    const { round, taken, finds, delivered, context, unwrittenHolds } = scene();
    taken();
    finds(nothing);
    context.memory.storeFault = 'disk full';
    expect(await round()).toEqual([]);
    context.memory.storeFault = null;
    const stop = { who: 'B. Mower', why: 'leak', beds: 'all' as const, untilMs: null };
    unwrittenHolds.push({ ...stop, stopNo: 1, atMs: 1 });
    expect(await round()).toEqual([]);
    expect(delivered).toEqual([]);
    unwrittenHolds.pop();
    expect(await round()).toHaveLength(1);
  });

  it('no hold for that', async () => {
    const { round, hold, finds, withdrawn, context } = scene();
    hold();
    finds(nothing);
    context.memory.storeFault = 'disk full';
    expect(await round()).toHaveLength(1);
    expect(withdrawn).toHaveLength(1);
  });

  it('an output that cannot be seen, and says since when', async () => {
    const { round, taken, finds, later, delivered, memory, context } = scene();
    taken();
    finds(unseen);
    expect(await round()).toEqual([]);
    later(10_000);
    await round();
    expect(delivered).toEqual([]);
    expect(memory.seen.get('file')).toMatchObject({
      fault: 'file: away',
      unseenSinceMs: EXAMPLE_MADE_AT_MS,
      firstAskedMs: EXAMPLE_MADE_AT_MS,
    });
    expect(context.memory.lookedAt.has('file'), 'ten seconds are not over').toBe(false);
    later(1);
    await round();
    expect(context.memory.lookedAt.has('file'), 'blind, and written to all the same').toBe(true);
    finds({ kind: 'as_wanted' });
    await round();
    expect(memory.seen.get('file')).toMatchObject({ fault: '', unseenSinceMs: null });
  });

  it('counts as not seen from the moment that it is asked', async () => {
    const { round, finds, memory } = scene();
    finds(async () => {
      expect(memory.seen.get('file')?.unseenSinceMs).toBe(EXAMPLE_MADE_AT_MS);
      return { kind: 'as_wanted' };
    });
    await round();
    expect(memory.seen.get('file')?.unseenSinceMs).toBeNull();
  });

  it('what is over, until it has to be taken away', async () => {
    const { round, taken, finds, later, looked, withdrawn } = scene();
    taken();
    later(19 * 60 * MIN_MS - 1);
    await round();
    later(1);
    await round();
    expect(looked).toMatchObject([{ kind: 'deliver' }, { kind: 'deliver' }]);
    finds(nothing);
    expect(await round()).toEqual([]);
    expect(withdrawn).toEqual([]);
  });

  it('takes away what is over where it stays', async () => {
    const { round, taken, finds, later, looked, withdrawn } = scene({ keepsPastOrders: true });
    const orderId = taken();
    finds({ kind: 'other', detail: 'd', order: { orderId, runsAhead: 0, stop: null } });
    later(19 * 60 * MIN_MS - 1);
    await round();
    expect(looked.at(-1)).toMatchObject({ kind: 'deliver' });
    expect(withdrawn).toEqual([]);
    later(1);
    expect(await round()).toMatchObject([{ what: 'empty' }]);
    expect(looked.at(-1)).toBeNull();
  });

  it('a plan that was confirmed for another place', async () => {
    const { round, db, context, taken, looked, finds, delivered } = scene();
    addPlaces(db, [{ output: 'file', place: 'file before', config: '{}' }], 1);
    taken();
    const at = (place: string) =>
      readBack({ ...context, places: new Map([['file', place]]) }, readBackMemory());
    finds(nothing);
    expect(await at('file now')).toEqual([]);
    expect(delivered).toEqual([]);
    expect(looked).toEqual([null]);
    expect(await at('file before')).toHaveLength(1);
    expect(await round()).toHaveLength(1);
  });

  it('waits five seconds for an answer', async () => {
    const { round, taken, finds, answers, db } = scene();
    const orderId = taken();
    finds(nothing);
    answers(() => new Promise(() => undefined));
    vi.useFakeTimers();
    void round();
    await vi.advanceTimersByTimeAsync(4_999);
    expect(orderStates(db, orderId)[0]?.lastAnswer).toBe('accepted');
    await vi.advanceTimersByTimeAsync(1);
    expect(orderStates(db, orderId)[0]).toMatchObject({
      lastAnswer: 'unknown',
      lastDetail: 'no answer',
    });
  });

  it('waits five seconds for what is taken away', async () => {
    const { round, finds, answers, putRightLines } = scene();
    finds(strange());
    answers(() => new Promise(() => undefined));
    vi.useFakeTimers();
    void round();
    await vi.advanceTimersByTimeAsync(4_999);
    expect(putRightLines()).toEqual([]);
    await vi.advanceTimersByTimeAsync(1);
    expect(putRightLines()).toEqual(['file: emptied: file: order x: unknown']);
  });

  it('looks at the others where one throws', async () => {
    const { round, finds, memory, later } = scene();
    finds(() => Promise.reject(new Error('broken contract')));
    expect(await round()).toEqual([]);
    expect([...memory.underWay]).toEqual([]);
    later(1);
    finds({ kind: 'as_wanted' });
    expect(await round()).toEqual([]);
    expect(memory.seen.get('file')?.unseenSinceMs).toBeNull();
  });
});

describe('the lines of what is put right', () => {
  it('are three of late, and again when it is long ago', async () => {
    const { round, finds, later, putRightLines, memory, withdrawn } = scene();
    finds(strange());
    for (let i = 0; i < 5; i++) {
      await round();
      later(1_000);
    }
    expect(withdrawn).toHaveLength(5);
    expect(putRightLines()).toHaveLength(3);
    // Ten minutes after the third, two are still of late, and one more makes three.
    later(10 * MIN_MS - 3_000);
    await round();
    expect(memory.seen.get('file')?.putRightMs).toHaveLength(3);
    expect(putRightLines()).toHaveLength(4);
  });

  it('do not count instants of a clock that was set back by more', async () => {
    const { round, finds, later, memory } = scene();
    finds(strange());
    await round();
    later(-10 * MIN_MS + 1);
    await round();
    expect(memory.seen.get('file')?.putRightMs).toHaveLength(2);
    later(-10 * MIN_MS);
    await round();
    expect(memory.seen.get('file')?.putRightMs).toHaveLength(1);
  });

  it('keep an answer that is another, also where they are too many', async () => {
    const { round, taken, finds, answers, db, putRightLines } = scene();
    const orderId = taken();
    finds(nothing);
    for (let i = 0; i < 3; i++) await round();
    answers({ kind: 'unknown', detail: 'away' });
    await round();
    expect(putRightLines()).toHaveLength(3);
    expect(orderStates(db, orderId)[0]).toMatchObject({ lastAnswer: 'unknown', attempts: 2 });
  });
});

import { EventEmitter } from 'node:events';
import type { MessagePort } from 'node:worker_threads';
import { describe, expect, it } from 'vitest';
import type { Answer, StopNow, StoppableOutput } from '../../../adapters/contract.ts';
import { waits } from '../../../daemon/delivery/deliver-outbox.ts';
import type { Unwritten } from '../../../daemon/delivery/delivery-memory.ts';
import { isLookedFor, wantedFrom } from '../../../daemon/delivery/order-decisions.ts';
import { listenForStops } from '../../../daemon/delivery/stop-now.ts';
import type { Hold } from '../../../daemon/site/store/holds-and-keep-offs.ts';
import type { OrderState } from '../../../daemon/site/store/outbox.ts';
import { ORDER } from './one-order.ts';

const order: OrderState = { ...ORDER, orderId: 'o-1', toPlace: 'file out' };
const stop: OrderState = { ...order, kind: 'withdraw' };

describe('whether an order waits', () => {
  const answered = (kind: Answer['kind']): Unwritten => ({
    order,
    answer: { kind, detail: '' },
    atMs: 100_000,
  });
  const well = { isStoreWell: true, isLookedAt: true, waters: false, unwritten: null };

  it.each<[string, OrderState, Partial<Parameters<typeof waits>[1]>, number, boolean]>([
    ['a plan', order, {}, 0, false],
    ['a plan where nobody has looked', order, { isLookedAt: false }, 0, true],
    ['a plan that cannot be remembered', order, { isStoreWell: false }, 0, true],
    ['a hold', stop, {}, 0, false],
    ['a hold where nobody has looked', stop, { isLookedAt: false }, 0, false],
    ['what waters behind it', stop, { isLookedAt: false, waters: true }, 0, true],
    ['what waters behind it, looked at', stop, { waters: true }, 0, false],
    ['a hold that cannot be remembered', stop, { isStoreWell: false }, 0, false],
    [
      'a hold that was taken and is not written',
      stop,
      { isStoreWell: false, unwritten: answered('accepted') },
      1e9,
      true,
    ],
    [
      'a hold that was refused and is not written',
      stop,
      { isStoreWell: false, unwritten: answered('rejected') },
      1e9,
      true,
    ],
    [
      'a hold of which nobody knows, for ten seconds',
      stop,
      { isStoreWell: false, unwritten: answered('unknown') },
      109_999,
      true,
    ],
    [
      'a hold of which nobody knows, after that',
      stop,
      { isStoreWell: false, unwritten: answered('unknown') },
      110_000,
      false,
    ],
    ['a hold once the store is well', stop, { unwritten: answered('accepted') }, 0, false],
  ])('%s', (_, asked, facts, nowMs, isWaiting) => {
    expect(waits(asked, { ...well, ...facts }, nowMs)).toBe(isWaiting);
  });
});

describe('what an order wants by what stands behind it', () => {
  const standing = { digest: 'd' } as never;
  const hold: Hold = {
    holdId: 1,
    atMs: 7,
    who: 'B. Mower',
    why: 'leak',
    beds: ['bed-1'],
    untilMs: null,
    inForceId: 1,
  };
  const behind = {
    siteId: 's',
    siteDay: '2026-07-01',
    standing,
    hold: null,
    delivery: order,
    place: 'file out',
  };

  it('is the plan that stands, or nothing', () => {
    expect(wantedFrom(order, behind)).toEqual({
      kind: 'deliver',
      orderId: 'o-1',
      confirmed: standing,
    });
    expect(wantedFrom(order, { ...behind, standing: null, hold })).toBeNull();
  });

  it('is the hold with what remains, or nothing', () => {
    const withdrawal = {
      siteId: 's',
      siteDay: '2026-07-01',
      beds: ['bed-1'],
      who: 'B. Mower',
      why: 'leak',
      atMs: 7,
    };
    expect(wantedFrom(stop, { ...behind, hold })).toEqual({
      kind: 'withdraw',
      orderId: 'o-1',
      withdrawal: { ...withdrawal, remaining: standing },
    });
    expect(wantedFrom(stop, { ...behind, standing: null, hold })).toMatchObject({
      withdrawal: { remaining: null },
    });
    for (const change of [{ delivery: null }, { place: 'file elsewhere' }]) {
      expect(wantedFrom(stop, { ...behind, hold, ...change })).toMatchObject({
        withdrawal: { remaining: null },
      });
    }
    expect(wantedFrom(stop, behind)).toBeNull();
  });

  it.each<[string | null, boolean, number, boolean]>([
    ['file out', false, 0, true],
    [null, false, 0, true],
    ['file elsewhere', false, 0, false],
    ['file out', true, 999_999, true],
    ['file out', true, 1_000_000, false],
    ['file out', false, 1_000_000, true],
  ])('is looked for at %s (%s, %i): %s', (place, keepsPastOrders, nowMs, isIt) => {
    expect(isLookedFor(order, { place, keepsPastOrders, nowMs })).toBe(isIt);
  });
});

describe('a port on which stops come', () => {
  function scene() {
    const asked: StopNow[] = [];
    const known: number[] = [];
    const said: unknown[] = [];
    const output = {
      stopNow: async (one: StopNow) => {
        asked.push(one);
        return { kind: 'accepted', detail: `answer ${asked.length}` };
      },
      storeKnows: (stopNo: number) => void known.push(stopNo),
    } as unknown as StoppableOutput;
    const port = Object.assign(new EventEmitter(), {
      postMessage: (message: unknown) => void said.push(message),
    });
    listenForStops(output, port as unknown as MessagePort);
    const hears = async (message: object) => {
      port.emit('message', message);
      await new Promise((resolve) => setImmediate(resolve));
    };
    return { asked, known, said, hears };
  }
  const stopNo = (no: number) => ({ stopNo: no, beds: 'all', who: 'B', why: 'leak', atMs: 1 });

  it('stops the output, and says what became of it', async () => {
    const { asked, said, hears } = scene();
    await hears({ id: 4, asked: stopNo(7) });
    expect(asked).toEqual([stopNo(7)]);
    expect(said).toEqual([{ id: 4, answer: { kind: 'accepted', detail: 'answer 1' } }]);
  });

  it('answers one that comes again as before, and stops once', async () => {
    const { asked, said, hears } = scene();
    await hears({ id: 4, asked: stopNo(7) });
    await hears({ id: 5, asked: stopNo(7) });
    await hears({ id: 6, asked: stopNo(8) });
    expect(asked).toHaveLength(2);
    const answers = said.map((one) => (one as { answer: Answer }).answer.detail);
    expect(answers).toEqual(['answer 1', 'answer 1', 'answer 2']);
  });

  it('passes on what the store knows, and forgets the answers up to there', async () => {
    const { asked, known, hears } = scene();
    for (const no of [7, 8, 9]) await hears({ id: no, asked: stopNo(no) });
    await hears({ storeKnows: 8 });
    expect(known).toEqual([8]);
    for (const no of [7, 8, 9]) await hears({ id: no, asked: stopNo(no) });
    expect(asked.map((one) => one.stopNo)).toEqual([7, 8, 9, 7, 8]);
  });
});

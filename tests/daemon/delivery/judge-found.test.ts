import { describe, expect, it } from 'vitest';
import type { Found, FoundOrder, FoundStop } from '../../../adapters/contract.ts';
import { type FoundStep, isWanted, judgeFound } from '../../../daemon/delivery/order-decisions.ts';
import type { OrderState } from '../../../daemon/site/store/outbox.ts';

const NOW_MS = 500_000;

const order = (change: Partial<OrderState> = {}): OrderState => ({
  orderId: 'r1',
  output: 'file',
  kind: 'deliver',
  confirmationId: 1,
  holdId: null,
  atMs: 0,
  validUntilMs: 1_000_000,
  attempts: 1,
  lastAttemptMs: 100_000,
  lastAnswer: 'accepted',
  lastDetail: '',
  toPlace: null,
  ...change,
});
const stop: FoundStop = { who: 'B. Mower', why: 'leak', atMs: 7_000, beds: 'all' };
const other = (change: Partial<FoundOrder> = {}): Found => ({
  kind: 'other',
  detail: 'another',
  order: { orderId: 'strange', runsAhead: 2, stop: null, ...change },
});
const nothing: Found = { kind: 'nothing', detail: 'no order' };
const noOrder: Found = { kind: 'other', detail: 'another', order: null };
const past = other({ orderId: 'stop-12-7345', runsAhead: 0, stop });

const NOTHING: FoundStep = { do: 'nothing' };
const again = (why: string): FoundStep => ({ do: 'put_right', why });
const EMPTY: FoundStep = { do: 'empty', why: 'another' };
const TAKE: FoundStep = { do: 'take_stop', stop: { ...stop, atMs: 7345 }, why: 'another' };

interface Given {
  order?: OrderState | null;
  found: Found;
  keepsPastOrders?: boolean;
  known?: number[];
  knownOrders?: string[];
  nowMs?: number;
}

const judged = (given: Given) =>
  judgeFound({
    order: given.order === undefined ? order() : given.order,
    found: given.found,
    keepsPastOrders: given.keepsPastOrders ?? false,
    knowsStop: ({ atMs }) => (given.known ?? []).includes(atMs),
    isOfStore: (orderId) => (given.knownOrders ?? []).includes(orderId),
    nowMs: given.nowMs ?? NOW_MS,
  });

const open = order({ lastAnswer: 'unknown' });
const over = { nowMs: 1_000_000 };

describe('judgeFound', () => {
  it.each<[string, Given, FoundStep]>([
    ['what is wanted', { found: { kind: 'as_wanted' } }, NOTHING],
    [
      'what nobody could see',
      { found: { kind: 'unseen', detail: 'away' } },
      { do: 'tell', why: 'away' },
    ],
    ['nothing, where a plan was taken', { found: nothing }, again('no order')],
    ['nothing, where the plan is still to come', { order: open, found: nothing }, NOTHING],
    ['nothing, where no order is known', { order: null, found: nothing }, NOTHING],
    ['nothing, where the day is over', { found: nothing, ...over }, NOTHING],
    [
      'nothing, where a stop has to stand',
      { order: order({ kind: 'withdraw', lastAnswer: null }), found: nothing },
      again('no order'),
    ],
    ['another order', { found: other() }, again('another')],
    ['what is no order', { found: noOrder }, again('another')],
    [
      'another order of ours, while the newest is still to come',
      { order: open, found: other({ orderId: 'r0' }), knownOrders: ['r0'] },
      NOTHING,
    ],
    ['a strange order, while the newest is still to come', { order: open, found: other() }, EMPTY],
    [
      'an order of ours when the newest is over',
      { found: other({ orderId: 'r0' }), knownOrders: ['r0'], ...over },
      EMPTY,
    ],
    [
      'an order of ours where none is owed',
      { order: null, found: other({ orderId: 'r0' }), knownOrders: ['r0'] },
      EMPTY,
    ],
    ['a strange order where none is owed', { order: null, found: other() }, EMPTY],
    [
      'a strange order with nothing ahead',
      { order: null, found: other({ runsAhead: 0 }) },
      NOTHING,
    ],
    [
      'the same where past orders stay',
      { order: null, found: other({ runsAhead: 0 }), keepsPastOrders: true },
      EMPTY,
    ],
    [
      'a stop that stays and is known',
      {
        order: null,
        found: other({ orderId: 'hold-1-7000', runsAhead: 0, stop }),
        keepsPastOrders: true,
      },
      NOTHING,
    ],
    ['what is no order where none is owed', { order: null, found: noOrder }, EMPTY],
    ['a stop past the store', { found: past }, TAKE],
    ['the same where no order is owed', { order: null, found: past }, TAKE],
    ['the same that the store knows', { found: past, known: [7345] }, again('another')],
    ['the same that it knows of another instant', { found: past, known: [7_000] }, TAKE],
    [
      'the same that it knows, where no order is owed',
      { order: null, found: past, known: [7345] },
      NOTHING,
    ],
    [
      'a stop under an order of the store',
      { found: other({ orderId: 'hold-1-7345', stop }) },
      again('another'),
    ],
    [
      'an id of a stop without one',
      { found: other({ orderId: 'stop-12-7345' }) },
      again('another'),
    ],
    [
      'an id that begins otherwise',
      { found: other({ orderId: 'x-stop-12-7345', stop }) },
      again('another'),
    ],
    [
      'an id that ends otherwise',
      { found: other({ orderId: 'stop-12-7345-less-3', stop }) },
      again('another'),
    ],
    [
      'an id without its number',
      { found: other({ orderId: 'stop--7345', stop }) },
      again('another'),
    ],
    [
      'an id with letters for its number',
      { found: other({ orderId: 'stop-a-7345', stop }) },
      again('another'),
    ],
    [
      'an id without its instant',
      { found: other({ orderId: 'stop-12-', stop }) },
      again('another'),
    ],
    [
      'an id with letters for its instant',
      { found: other({ orderId: 'stop-12-a', stop }) },
      again('another'),
    ],
  ])('finds %s', (_, given, step) => {
    expect(judged(given)).toEqual(step);
  });
});

describe('isWanted', () => {
  it.each<[Partial<OrderState>, number, boolean]>([
    [{}, 999_999, true],
    [{}, 1_000_000, false],
    [{ lastAnswer: null }, NOW_MS, false],
    [{ lastAnswer: 'unknown' }, NOW_MS, false],
    [{ lastAnswer: 'rejected' }, NOW_MS, false],
    [{ lastAnswer: 'superseded' }, NOW_MS, false],
    [{ kind: 'withdraw', lastAnswer: null }, NOW_MS, true],
    [{ kind: 'withdraw', lastAnswer: 'rejected' }, NOW_MS, true],
    [{ kind: 'withdraw', lastAnswer: 'superseded' }, NOW_MS, false],
    [{ kind: 'withdraw', lastAnswer: 'accepted' }, 1_000_000, false],
  ])('%j at %i: %s', (change, nowMs, wanted) => {
    expect(isWanted(order(change), nowMs)).toBe(wanted);
  });
});

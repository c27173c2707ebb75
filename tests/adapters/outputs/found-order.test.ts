import { describe, expect, it } from 'vitest';
import {
  compareWithWanted,
  MOST_ORDER_BYTES,
  readFoundOrder,
} from '../../../adapters/outputs/order-document.ts';

const NOW_MS = Date.parse('2026-07-01T10:00:00Z');
const found = (change: object) =>
  readFoundOrder(
    JSON.stringify({ format: 'dewbeat-order', order_id: 'o-1', runs: [], ...change }),
    NOW_MS,
  );
const withdrawn = (change: object) =>
  found({
    withdrawn: { who: 'B. Mower', why: 'leak', at: '2026-07-01T09:00:00Z', ...change },
  })?.stop;
const atMs = Date.parse('2026-07-01T09:00:00Z');
const runAt = (start: unknown) => found({ runs: [{ start }] })?.runsAhead;

describe('readFoundOrder', () => {
  it('reads an order, whoever put it there', () => {
    expect(found({ more: 1 })).toEqual({ orderId: 'o-1', runsAhead: 0, stop: null });
  });

  it.each(['', '{', 'null', '7', '"text"', '[]', '[{"format":"dewbeat-order"}]'])(
    'takes %s for none',
    (text) => {
      expect(readFoundOrder(text, NOW_MS)).toBeNull();
    },
  );

  it.each([
    [{ format: 'other' }],
    [{ format: undefined }],
    [{ order_id: 7 }],
    [{ order_id: undefined }],
    [{ runs: {} }],
    [{ runs: undefined }],
  ])('takes an order with %j for none', (change) => {
    expect(found(change)).toBeNull();
  });

  it('counts runs as ahead unless it is sure that they are past', () => {
    expect(runAt('2026-07-01T09:59:59.999Z')).toBe(0);
    expect(runAt('2026-07-01T10:00:00Z')).toBe(1);
    expect(runAt('2026-07-01T12:00:00+02:00')).toBe(1);
    for (const odd of ['soon', 0, null, undefined]) expect(runAt(odd)).toBe(1);
    for (const odd of [7, null, 'run', [{ start: '2020-01-01T00:00:00Z' }]]) {
      expect(found({ runs: [odd, { start: '2020-01-01T00:00:00Z' }] })?.runsAhead).toBe(1);
    }
  });

  it('shortens what is too long to be shown', () => {
    expect(found({ order_id: 'x'.repeat(200) })?.orderId).toBe('x'.repeat(200));
    expect(found({ order_id: 'x'.repeat(201) })?.orderId).toBe(`${'x'.repeat(200)}...`);
  });

  it.each<[object, 'all' | string[]]>([
    [{ everything: true, beds: ['bed-1'] }, 'all'],
    [{ everything: false, beds: ['bed-1', 'bed-2'] }, ['bed-1', 'bed-2']],
    [{ everything: false, beds: ['bed-1', 7, null] }, ['bed-1']],
    [{ everything: false, beds: [] }, 'all'],
    [{ everything: false, beds: [7] }, 'all'],
    [{ everything: false, beds: 'bed-1' }, 'all'],
    [{ everything: false }, 'all'],
    [{ everything: 0, beds: ['bed-1'] }, 'all'],
    [{ beds: ['bed-1'] }, 'all'],
  ])('reads a stop with %j as one of %j', (change, beds) => {
    expect(withdrawn(change)).toEqual({ who: 'B. Mower', why: 'leak', atMs, beds });
  });

  it.each([[{ who: 7 }], [{ why: null }], [{ at: 'then' }], [{ at: atMs }]])(
    'reads no stop where it says %j',
    (change) => {
      expect(withdrawn(change)).toBeNull();
    },
  );

  it.each([null, 'all', 7, [], undefined])('reads no stop out of %j', (odd) => {
    expect(found({ withdrawn: odd })?.stop).toBeNull();
  });

  it('shortens the words of a stop', () => {
    expect(withdrawn({ who: 'w'.repeat(300), why: 'y'.repeat(300) })).toMatchObject({
      who: `${'w'.repeat(200)}...`,
      why: `${'y'.repeat(200)}...`,
    });
  });
});

describe('judgeText', () => {
  const at = { where: 'file: out', nowMs: NOW_MS };
  const order = JSON.stringify({ format: 'dewbeat-order', order_id: 'o-1', runs: [] });

  it.each([
    [null, order, { kind: 'nothing', detail: 'file: out: no order stands there' }],
    [null, null, { kind: 'nothing', detail: 'file: out: no order stands there' }],
    [order, order, { kind: 'as_wanted' }],
    [
      `${order}\n`,
      order,
      {
        kind: 'other',
        detail: 'file: out: order o-1 stands there',
        order: { orderId: 'o-1', runsAhead: 0, stop: null },
      },
    ],
    [
      order,
      null,
      {
        kind: 'other',
        detail: 'file: out: order o-1 stands there',
        order: { orderId: 'o-1', runsAhead: 0, stop: null },
      },
    ],
    [
      'junk',
      order,
      { kind: 'other', detail: 'file: out: something that is no order stands there', order: null },
    ],
  ])('%j held against %j', (text, wanted, judged) => {
    expect(compareWithWanted(text, wanted, at)).toEqual(judged);
  });

  it('is far above any order', () => {
    expect(MOST_ORDER_BYTES).toBe(33_554_432);
  });
});

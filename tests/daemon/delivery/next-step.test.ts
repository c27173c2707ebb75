import { describe, expect, it } from 'vitest';
import { hasMoved, nextStep } from '../../../daemon/delivery/order-decisions.ts';
import {
  ALERT_VALID_MS,
  MOST_ALERT_TRIES,
  nextAlert,
  type OpenAlert,
} from '../../../daemon/site/store/alerts.ts';
import { ORDER } from './one-order.ts';

const order = ORDER;
const at = (nowMs: number, newestOrderId = 'a', place: string | null = 'file out') => ({
  newestOrderId,
  place,
  nowMs,
});

describe('nextStep', () => {
  it('ends what a newer order has overtaken, whatever its time', () => {
    expect(nextStep(order, at(2_000_000, 'b'))).toEqual({
      do: 'end',
      as: 'superseded',
      why: 'order b says what stands now',
    });
  });

  it('ends a plan whose output has moved, with what to do', () => {
    expect(nextStep({ ...order, toPlace: 'file elsewhere' }, at(2_000_000))).toEqual({
      do: 'end',
      as: 'superseded',
      why: 'file writes to another place now; confirm a fresh plan',
    });
  });

  it('ends an order when its time is over, to the millisecond', () => {
    const first = { ...order, attempts: 0, lastAttemptMs: null };
    expect(nextStep(first, at(999_999))).toEqual({ do: 'send' });
    const over = { do: 'end', as: 'lapsed', why: 'its time is over' };
    expect(nextStep(first, at(1_000_000))).toEqual(over);
  });

  it('waits from the last attempt on, a clock that stands still included', () => {
    expect(nextStep(order, at(100_000))).toEqual({ do: 'wait', untilMs: 102_000 });
    expect(nextStep(order, at(99_999))).toEqual({ do: 'send' });
    expect(nextStep({ ...order, lastAttemptMs: null }, at(100_000))).toEqual({ do: 'send' });
    expect(nextStep({ ...order, attempts: 0 }, at(100_000))).toEqual({ do: 'send' });
  });
});

describe('hasMoved', () => {
  it.each([
    ['file a', 'file b', true],
    ['file a', 'file a', false],
    [null, 'file a', false],
    ['file a', null, false],
    [null, null, false],
  ])('from %s to %s: %s', (toPlace, place, moved) => {
    expect(hasMoved({ toPlace }, place)).toBe(moved);
  });
});

describe('nextNews', () => {
  const news = (newsId: string, change: Partial<OpenAlert> = {}) =>
    ({ newsId, atMs: 1_000_000, tries: 0, lastTryMs: null, ...change }) as unknown as OpenAlert;
  const nextId = (open: OpenAlert[], nowMs: number) => nextAlert(open, nowMs)?.newsId ?? null;

  it('is the oldest, for an hour before and after', () => {
    expect(nextId([], 1_000_000)).toBeNull();
    expect(nextId([news('a'), news('b')], 1_000_000)).toBe('a');
    expect(nextId([news('a')], 1_000_000 + ALERT_VALID_MS)).toBe('a');
    expect(nextId([news('a')], 1_000_001 + ALERT_VALID_MS)).toBeNull();
    expect(nextId([news('a', { atMs: 1_000_000 + ALERT_VALID_MS })], 1_000_000)).toBe('a');
    expect(nextId([news('a', { atMs: 1_000_001 + ALERT_VALID_MS })], 1_000_000)).toBeNull();
  });

  it.each([
    [1, 5_000],
    [2, 10_000],
    [3, 20_000],
    [4, 40_000],
  ])('waits after %i tries for %i ms, and lets others pass meanwhile', (tries, waitMs) => {
    const tried = news('a', { tries, lastTryMs: 1_000_000 });
    expect(nextId([tried], 1_000_000 + waitMs - 1)).toBeNull();
    expect(nextId([tried, news('b')], 1_000_000 + waitMs - 1)).toBe('b');
    expect(nextId([tried], 1_000_000 + waitMs)).toBe('a');
  });

  it('gives up after the last try, and waits for no clock that was stepped back', () => {
    const last = news('a', { tries: MOST_ALERT_TRIES - 1, lastTryMs: 1_000_000 });
    expect(nextId([last], 999_999)).toBe('a');
    expect(nextId([last], 1_000_000)).toBeNull();
    expect(nextId([news('a', { tries: MOST_ALERT_TRIES })], 1_000_000)).toBeNull();
  });
});

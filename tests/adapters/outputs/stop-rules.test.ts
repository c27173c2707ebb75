import { describe, expect, it } from 'vitest';
import type { Answer, Found, StopNow, Wanted } from '../../../adapters/contract.ts';
import {
  orderToReadBack,
  remainingWithoutStops,
  repeatsStop,
  stopOrder,
  withdrawalUnderStops,
  withoutStoppedBeds,
  withStop,
} from '../../../adapters/outputs/stoppable.ts';
import { EXAMPLE_MADE_AT_MS } from '../../example-plan.ts';
import { confirmedExample, holdExample } from './output-context.ts';

const stop = (stopNo: number, beds: StopNow['beds'] = 'all'): StopNow => ({
  stopNo,
  beds,
  who: 'B. Tester (invented)',
  why: 'burst pipe',
  atMs: EXAMPLE_MADE_AT_MS,
});
const plan = confirmedExample({ heldBedIds: ['bed-1'] });
const hold = holdExample({ beds: ['bed-1'], remaining: plan });
const deliver: Wanted = { kind: 'deliver', orderId: 'o-1', confirmed: plan };
const asWanted: Found = { kind: 'as_wanted' };

describe('stops that the store does not know of', () => {
  it('are kept up to a hundred, and are one of everything beyond', () => {
    const hundred = Array.from({ length: 100 }, (_, i) => stop(i, ['bed-2']));
    expect(withStop([], stop(1))).toEqual([stop(1)]);
    expect(withStop(hundred.slice(1), stop(100, ['bed-2']))).toHaveLength(100);
    expect(withStop(hundred, stop(100, ['bed-2']))).toEqual([stop(100), stop(100, ['bed-2'])]);
  });

  it('leave a withdrawal as it is where there are none', () => {
    expect(withoutStoppedBeds(hold, [])).toBe(hold);
    expect(withdrawalUnderStops({ orderId: 'o-2', withdrawal: hold }, [])).toEqual({
      kind: 'withdraw',
      orderId: 'o-2',
      withdrawal: hold,
    });
  });

  it('take their beds out of what remains, each once', () => {
    expect(withoutStoppedBeds(hold, [stop(1, ['bed-2']), stop(2, ['bed-1', 'bed-2'])])).toEqual({
      ...hold,
      remaining: { ...plan, heldBedIds: ['bed-1', 'bed-2'] },
    });
  });

  it.each([
    ['one of them is of everything', hold, [stop(1, ['bed-2']), stop(2)]],
    ['nothing remains', { ...hold, remaining: null }, [stop(1, ['bed-2'])]],
  ])('take everything out where %s', (_, withdrawal, stops) => {
    expect(withoutStoppedBeds(withdrawal, stops)).toEqual({
      ...hold,
      beds: 'all',
      remaining: null,
    });
  });

  it('give what they cut down an id of its own, by the newest', () => {
    const stops = [stop(1, ['bed-2']), stop(2, ['bed-3'])];
    expect(withdrawalUnderStops({ orderId: 'o-2', withdrawal: hold }, stops)).toMatchObject({
      orderId: `stop-2-${EXAMPLE_MADE_AT_MS}-with-o-2`,
      withdrawal: { remaining: { heldBedIds: ['bed-1', 'bed-2', 'bed-3'] } },
    });
  });
});

describe('what goes on besides', () => {
  it.each<[Wanted | null, StopNow[], Wanted | null]>([
    [deliver, [stop(1, ['bed-2'])], deliver],
    [deliver, [stop(1, ['bed-2']), stop(2)], null],
    [null, [stop(1, ['bed-2'])], null],
  ])('is looked for %#', (last, stops, looked) => {
    expect(orderToReadBack(last, stops)).toBe(looked);
  });

  it.each<[string, Wanted | null, Found | null, unknown]>([
    ['the plan that stands', deliver, asWanted, plan],
    [
      'what a withdrawal has left',
      { kind: 'withdraw', orderId: 'o-2', withdrawal: { ...hold, beds: ['bed-3'] } },
      asWanted,
      { ...plan, heldBedIds: ['bed-1', 'bed-3'] },
    ],
    [
      'nothing after one of everything',
      { kind: 'withdraw', orderId: 'o-2', withdrawal: holdExample() },
      asWanted,
      null,
    ],
    ['nothing where something else stands', deliver, { kind: 'nothing', detail: '' }, null],
    ['nothing where the look has not come back', deliver, null, null],
    ['nothing where nothing is known', null, asWanted, null],
  ])('is %s', (_, looked, found, remaining) => {
    expect(remainingWithoutStops(looked, found)).toEqual(remaining);
  });
});

describe('a stop as an order', () => {
  const given = { siteId: 's', siteDay: '2026-07-01', stops: [stop(7, ['bed-2'])] };

  it('takes its beds out of what goes on', () => {
    expect(stopOrder(stop(7, ['bed-2']), { ...given, remaining: plan })).toEqual({
      kind: 'withdraw',
      orderId: `stop-7-${EXAMPLE_MADE_AT_MS}`,
      withdrawal: {
        siteId: 's',
        siteDay: '2026-07-01',
        who: 'B. Tester (invented)',
        why: 'burst pipe',
        atMs: EXAMPLE_MADE_AT_MS,
        beds: ['bed-2'],
        remaining: { ...plan, heldBedIds: ['bed-1', 'bed-2'] },
      },
    });
  });

  it('is one of everything where nothing goes on, or nobody knows', () => {
    const order = stopOrder(stop(7, ['bed-2']), { ...given, stops: [], remaining: null });
    expect(order.withdrawal).toMatchObject({ beds: 'all', remaining: null });
  });

  it.each<[Answer['kind'], StopNow, boolean]>([
    ['unknown', stop(7), true],
    ['rejected', stop(7), true],
    ['accepted', stop(7), false],
    ['unknown', stop(8), false],
  ])('that came to %s is asked again unless a newer one stands %#', (kind, newest, again) => {
    const asked = stop(7);
    const stops = newest.stopNo === 7 ? [stop(6), asked] : [asked, newest];
    expect(repeatsStop(asked, { answer: { kind, detail: '' }, stops })).toBe(again);
    expect(repeatsStop(asked, { answer: { kind, detail: '' }, stops: [] })).toBe(false);
  });
});

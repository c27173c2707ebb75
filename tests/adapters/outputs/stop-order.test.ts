import { describe, expect, it } from 'vitest';
import type { StopNow } from '../../../adapters/contract.ts';
import { readFoundOrder, wantedText } from '../../../adapters/outputs/order-document.ts';
import {
  repeatsStop,
  stopOrder,
  withdrawalUnderStops,
} from '../../../adapters/outputs/stoppable.ts';
import { judgeFound } from '../../../daemon/delivery/order-decisions.ts';
import { confirmedExample, EXAMPLE_CLOCK } from './output-context.ts';

const AT_MS = Date.parse('2026-07-01T13:00:00Z');

function stop(stopNo: number, beds: StopNow['beds']): StopNow {
  return { stopNo, beds, who: `Person ${stopNo} (invented)`, why: 'people', atMs: AT_MS + stopNo };
}

const held = {
  siteId: 'example-site',
  siteDay: '2026-07-01',
  beds: ['bed-1'],
  who: 'B. Mower (invented)',
  why: 'roll',
  atMs: AT_MS,
  remaining: confirmedExample({ heldBedIds: ['bed-1'] }),
};

/** What a daemon that has just started makes of what stands out there. */
function foundBy(wanted: ReturnType<typeof withdrawalUnderStops>) {
  const order = readFoundOrder(wantedText(wanted, EXAMPLE_CLOCK), AT_MS);
  return judgeFound({
    order: null,
    found: { kind: 'other', detail: 'it stands', order },
    keepsPastOrders: false,
    knowsStop: () => false,
    isOfStore: () => false,
    nowMs: AT_MS,
  });
}

describe('a withdrawal that goes out while stops wait for the store', () => {
  it('is as it was when none does', () => {
    const order = { orderId: 'hold-1', withdrawal: held };
    expect(withdrawalUnderStops(order, [])).toEqual({ kind: 'withdraw', ...order });
  });

  it('waters neither the beds of the hold nor those of the stops', () => {
    const { orderId, withdrawal } = withdrawalUnderStops({ orderId: 'hold-1', withdrawal: held }, [
      stop(7, ['bed-2']),
    ]);
    expect(orderId).toBe(`stop-7-${AT_MS + 7}-with-hold-1`);
    expect(withdrawal.remaining?.heldBedIds.toSorted()).toEqual(['bed-1', 'bed-2']);
  });

  it('leaves what the store has to know of the stops where a daemon finds it after a restart', () => {
    const stops = [stop(7, ['bed-2']), stop(8, ['bed-3'])];
    const step = foundBy(withdrawalUnderStops({ orderId: 'hold-1', withdrawal: held }, stops));
    const { who, atMs } = stop(8, 'all');
    expect(step).toMatchObject({ do: 'take_stop', stop: { who, atMs, beds: ['bed-2', 'bed-3'] } });
  });
});

describe('a stop as an order', () => {
  const given = { siteId: 'example-site', siteDay: '2026-07-01', remaining: held.remaining };

  it('names the beds of every stop that waits: it takes the place of their orders', () => {
    const stops = [stop(7, ['bed-2']), stop(8, ['bed-3'])];
    const order = stopOrder(stop(8, ['bed-3']), { ...given, stops });
    expect(foundBy(order)).toMatchObject({ stop: { beds: ['bed-2', 'bed-3'] } });
    expect(order.withdrawal.remaining?.heldBedIds).toContain('bed-2');
  });

  it.each([
    { what: 'nothing is known of what goes on', remaining: null, beds: ['bed-3'] },
    { what: 'another stop is of everything', remaining: held.remaining, beds: 'all' as const },
  ])('is one of everything when $what', ({ remaining, beds }) => {
    const asked = stop(8, ['bed-3']);
    const order = stopOrder(asked, { ...given, remaining, stops: [stop(7, beds), asked] });
    expect(order.withdrawal).toMatchObject({ beds: 'all', remaining: null });
  });

  it('is asked again until it is taken, and only while it is the newest that waits', () => {
    const [old, newest] = [stop(7, 'all'), stop(8, 'all')];
    const unknown = { kind: 'unknown' as const, detail: '' };
    expect(repeatsStop(newest, { answer: unknown, stops: [old, newest] })).toBe(true);
    expect(repeatsStop(old, { answer: unknown, stops: [old, newest] })).toBe(false);
    expect(repeatsStop(newest, { answer: unknown, stops: [] })).toBe(false);
    const accepted = { kind: 'accepted' as const, detail: '' };
    expect(repeatsStop(newest, { answer: accepted, stops: [newest] })).toBe(false);
  });
});

import { describe, expect, it } from 'vitest';
import { isLookedFor, wantedFrom } from '../../../daemon/delivery/order-decisions.ts';
import type { Hold } from '../../../daemon/site/store/holds-and-keep-offs.ts';
import type { OrderState } from '../../../daemon/site/store/outbox.ts';
import { confirmedExample } from '../../adapters/outputs/output-context.ts';

const NOW_MS = Date.parse('2026-07-01T12:00:00Z');

function order(change: Partial<OrderState> = {}): OrderState {
  return {
    orderId: 'o-1',
    output: 'field',
    kind: 'deliver',
    confirmationId: 1,
    holdId: null,
    atMs: NOW_MS,
    validUntilMs: NOW_MS + 3_600_000,
    toPlace: 'here',
    attempts: 1,
    lastAttemptMs: NOW_MS,
    lastAnswer: 'accepted',
    lastDetail: '',
    ...change,
  };
}

const hold: Hold = {
  holdId: 1,
  atMs: NOW_MS,
  who: 'B. Mower (invented)',
  why: 'roll',
  beds: ['bed-2'],
  untilMs: null,
  inForceId: 1,
};
const behind = {
  siteId: 'example-site',
  siteDay: '2026-07-01',
  standing: confirmedExample(),
  delivery: order(),
  hold,
  place: 'here',
};

describe('wantedFrom', () => {
  it('wants a plan as far as it stands, and nothing where nothing does', () => {
    expect(wantedFrom(order(), behind)).toMatchObject({ kind: 'deliver', orderId: 'o-1' });
    expect(wantedFrom(order(), { ...behind, standing: null })).toBeNull();
  });

  it.each([
    { where: 'where it was confirmed for', change: {}, goesOn: true },
    { where: 'at an output whose place is not known', change: { place: null }, goesOn: true },
    { where: 'where the output has been moved to', change: { place: 'there' }, goesOn: false },
    { where: 'at an output that is new since', change: { delivery: null }, goesOn: false },
    { where: 'when nothing stands', change: { standing: null }, goesOn: false },
  ])('lets the other beds go on $where: $goesOn', ({ change, goesOn }) => {
    const wanted = wantedFrom(order({ kind: 'withdraw' }), { ...behind, ...change });
    if (wanted?.kind !== 'withdraw') throw new Error('no withdrawal');
    expect(wanted.withdrawal.remaining !== null).toBe(goesOn);
    expect(wanted.withdrawal).toMatchObject({ beds: ['bed-2'], who: hold.who, atMs: hold.atMs });
  });

  it('wants no withdrawal without its hold', () => {
    expect(wantedFrom(order({ kind: 'withdraw' }), { ...behind, hold: null })).toBeNull();
  });
});

describe('isLookedFor', () => {
  it.each([
    { place: 'here', keepsPastOrders: false, lateMs: 0, isIt: true },
    { place: null, keepsPastOrders: false, lateMs: 0, isIt: true },
    { place: 'there', keepsPastOrders: false, lateMs: 0, isIt: false },
    { place: 'here', keepsPastOrders: true, lateMs: 0, isIt: true },
    { place: 'here', keepsPastOrders: true, lateMs: 3_600_000, isIt: false },
    { place: 'here', keepsPastOrders: false, lateMs: 3_600_000, isIt: true },
  ])('$isIt at $place, $lateMs ms later, kept beyond its end: $keepsPastOrders', (given) => {
    const { place, keepsPastOrders, lateMs, isIt } = given;
    const facts = { place, keepsPastOrders, nowMs: NOW_MS + lateMs };
    expect(isLookedFor(order(), facts)).toBe(isIt);
  });
});

import type { Answer, ConfirmedPlan, Found, StopNow, Wanted, Withdrawal } from '../contract.ts';
import { standingAfter } from './order-payload.ts';

/** More stops than this that the store has not heard of are one of everything. */
const MOST_STOPS = 100;

type WantedWithdrawal = Extract<Wanted, { kind: 'withdraw' }>;

/** The stops of an output that the store does not know of, with one more. Pure. */
export function withStop(stops: readonly StopNow[], asked: StopNow): StopNow[] {
  return stops.length < MOST_STOPS ? [...stops, asked] : [{ ...asked, beds: 'all' }, asked];
}

/** Every bed that any of the stops names. Pure. */
function bedsOf(stops: readonly StopNow[]): 'all' | string[] {
  const named = stops.flatMap(({ beds }) => (beds === 'all' ? [] : beds));
  return stops.some(({ beds }) => beds === 'all') ? 'all' : [...new Set(named)];
}

/** Waters nothing that a stop has taken out, whatever the order says. Pure. */
export function lessStops(withdrawal: Withdrawal, stops: readonly StopNow[]): Withdrawal {
  if (stops.length === 0) return withdrawal;
  const { remaining } = withdrawal;
  const stopped = bedsOf(stops);
  if (remaining === null || stopped === 'all') {
    return { ...withdrawal, beds: 'all', remaining: null };
  }
  const heldBedIds = [...new Set([...remaining.heldBedIds, ...stopped])];
  return { ...withdrawal, remaining: { ...remaining, heldBedIds } };
}

/**
 * A withdrawal of the store as it goes out while stops wait for it. Pure.
 *
 * The same id never says two things: what a stop has cut down goes under one of its own. It tells of
 * the stops, not of the hold: the store knows of that one, and of them only what stands out there
 * may know by the time that the daemon starts again.
 */
export function cutDown(
  { orderId, withdrawal }: Omit<WantedWithdrawal, 'kind'>,
  stops: readonly StopNow[],
): WantedWithdrawal {
  const newest = stops.at(-1);
  if (newest === undefined) return { kind: 'withdraw', orderId, withdrawal };
  const { stopNo, who, why, atMs } = newest;
  const id = `stop-${stopNo}-${atMs}-with-${orderId}`;
  const standing = standingAfter(withdrawal);
  const told = { ...withdrawal, who, why, atMs, beds: bedsOf(stops), remaining: standing };
  return { kind: 'withdraw', orderId: id, withdrawal: lessStops(told, stops) };
}

/** What has to be looked at before it is known what goes on besides the stops; null: nothing. Pure. */
export function lookBeforeStop(last: Wanted | null, stops: readonly StopNow[]): Wanted | null {
  return stops.some(({ beds }) => beds === 'all') ? null : last;
}

/**
 * What would go on without the stops; null: nothing, or nobody knows. Pure.
 *
 * @param found What the look has shown; null: it has not come back.
 */
export function goesOn(looked: Wanted | null, found: Found | null): ConfirmedPlan | null {
  // Somebody else has put something there meanwhile, or nobody can say: the drier reading is safe.
  if (looked === null || found?.kind !== 'as_wanted') return null;
  return looked.kind === 'deliver' ? looked.confirmed : standingAfter(looked.withdrawal);
}

/**
 * A stop as the order that goes to the receiver, past the store. It names the beds of every stop that
 * the store does not know of: it takes the place of the orders that told of them. Pure.
 */
export function stopOrder(
  { stopNo, who, why, atMs }: StopNow,
  given: {
    siteId: string;
    siteDay: string;
    remaining: ConfirmedPlan | null;
    stops: readonly StopNow[];
  },
): WantedWithdrawal {
  const { siteId, siteDay, remaining, stops } = given;
  const beds = remaining === null ? 'all' : bedsOf(stops);
  const withdrawal = lessStops({ siteId, siteDay, who, why, atMs, beds, remaining }, stops);
  return { kind: 'withdraw', orderId: `stop-${stopNo}-${atMs}`, withdrawal };
}

/** Whether a stop is asked once more after an answer. Pure. */
export function stopsAgain(
  asked: StopNow,
  { answer, stops }: { answer: Answer; stops: readonly StopNow[] },
): boolean {
  // What the store knows of by now is an order of its own; a newer stop says all that this one did.
  return answer.kind !== 'accepted' && stops.at(-1) === asked;
}

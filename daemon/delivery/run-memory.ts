import type { RunMemory } from '../../adapters/contract.ts';
import { standingPlan } from '../gate/gate.ts';
import type { Db } from '../store/database.ts';
import { openPlaces } from '../store/output-places.ts';
import { deliveryOf, newestOrders } from '../store/owed.ts';
import { addRunEvent, isRunClosed } from '../store/run-events.ts';
import { hasMoved } from './next-attempt.ts';

/** A memory in which nothing may run, and nothing is missed either. */
export const NO_RUNS: RunMemory = {
  has: () => true,
  add: (event) => {
    throw new Error(`${event.runId}: nothing is sent run by run here; start the daemon`);
  },
  standing: () => null,
};

/** The store as the memory of an output that sends run by run. */
export function runMemory(given: { db: Db; output: string; now(): number }): RunMemory {
  const { db, output, now } = given;
  return {
    has: (runId) => isRunClosed(db, output, runId),
    add: (event) => addRunEvent(db, { ...event, output, atMs: now() }),
    standing: () => {
      const order = newestOrders(db).find((newest) => newest.output === output);
      // An order that is still open, or was refused, displaces what stood before it all the same.
      if (order?.lastAnswer !== 'accepted' || order.confirmationId === null) return null;
      const { confirmationId } = order;
      const delivery = deliveryOf(db, { confirmationId, output });
      const place = openPlaces(db).findLast((one) => one.output === output)?.place ?? null;
      // Nobody has confirmed that valves open where the output has been moved to, or at a new one.
      if (delivery === null || hasMoved(delivery, place)) return null;
      const confirmed = standingPlan(db, confirmationId);
      if (confirmed === null || now() >= confirmed.plan.endMs) return null;
      return { orderId: order.orderId, confirmed };
    },
  };
}

import { type DeliveryContext, deliverOwed } from '../delivery/deliver-owed.ts';
import type { Job, JobParts } from './job.ts';

/** Deliveries are looked for this often: a hold from another process waits no longer. */
const LOOK_MS = 500;

/** Sends what is owed to the outputs, and logs what they answer. */
export function deliveriesJob({ log }: JobParts, delivery: DeliveryContext): Job {
  const { memory } = delivery;
  let toldFault: string | null = null;
  return {
    name: 'deliveries',
    every: { ms: LOOK_MS },
    async work() {
      const done = await deliverOwed(delivery);
      for (const { order, answer } of done) {
        const line = { order: order.orderId, output: order.output, answer: answer.kind };
        if (answer.kind === 'accepted') log.info(line, answer.detail);
        else log.warn(line, answer.detail);
      }
      // Two rounds a second over a full disk: one line when it begins, not one each.
      if (memory.storeFault !== null && memory.storeFault !== toldFault) {
        log.error(
          `database: refuses to be written (got ${memory.storeFault}); nothing is delivered until it can, holds go out all the same; free some space or mend its rights`,
        );
      }
      toldFault = memory.storeFault;
    },
  };
}

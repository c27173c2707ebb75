import { deliverOwed } from '../delivery/deliver-owed.ts';
import type { Duty, DutyParts } from './duty.ts';

/** Deliveries are looked for this often: a hold from another process waits no longer. */
const LOOK_MS = 500;

/** Sends what is owed to the outputs, and logs what they answer. */
export function deliveriesDuty({ config, db, outputs, log, now }: DutyParts): Duty {
  return {
    name: 'deliveries',
    every: { ms: LOOK_MS },
    async work() {
      const done = await deliverOwed({
        db,
        siteId: config.site.id,
        clock: config.clock,
        outputs,
        now,
      });
      for (const { order, answer } of done) {
        const line = { order: order.orderId, output: order.output, answer: answer.kind };
        if (answer.kind === 'accepted') log.info(line, answer.detail);
        else log.warn(line, answer.detail);
      }
    },
  };
}

import type { DeliveryContext } from '../delivery/deliver-owed.ts';
import { type ReadBackMemory, readBack } from '../delivery/read-back.ts';
import type { Job, JobParts } from './job.ts';

/** What stands at the receivers is looked at this often. */
const LOOK_MS = 2_000;

/** Reads back what stands at the outputs, and puts right what differs from what the store wants. */
export function readBackJob(
  { log }: JobParts,
  { delivery, memory }: { delivery: DeliveryContext; memory: ReadBackMemory },
): Job {
  return {
    name: 'reading back',
    every: { ms: LOOK_MS },
    async work() {
      for (const { output, what, why, answer } of await readBack(delivery, memory)) {
        const line = { output, what, answer: answer?.kind ?? null };
        log.warn(line, `${output} was not as wanted: ${why}`);
      }
    },
  };
}

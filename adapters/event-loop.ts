import { setImmediate as nextTurn } from 'node:timers/promises';
import type { MqttClient } from 'mqtt';

/** Longer than this at a stretch nobody else is let wait: an order to stop may be among them. */
const SLICE_MS = 10;

/** Cuts long work into slices between which everything else has its turn. */
interface TimeSlice {
  /** True once the slice is used up. */
  due(): boolean;
  /** Lets everything else have its turn. */
  rest(): Promise<void>;
}

/** For one piece of work: `if (breath.due()) await breath.rest();` in its innermost long loop. */
export function timeSlice(): TimeSlice {
  let sinceMs = performance.now();
  return {
    due: () => performance.now() - sinceMs >= SLICE_MS,
    async rest() {
      await nextTurn();
      sinceMs = performance.now();
    },
  };
}

/** Messages are taken in for this long at a stretch. */
const MESSAGES_SLICE_MS = 5;

/**
 * Lets everything else of the process have its turn while messages pour in: without it the library
 * works off all that a read of the line has brought, some hundred messages, before an order to stop
 * is looked at. What has not been taken in waits in the line, and so at the broker.
 */
export function yieldBetweenMessages(client: Pick<MqttClient, 'handleMessage'>): void {
  let sinceMs = 0;
  client.handleMessage = (_, done) => {
    if (performance.now() - sinceMs < MESSAGES_SLICE_MS) {
      done();
      return;
    }
    setImmediate(() => {
      sinceMs = performance.now();
      done();
    });
  };
}

import type { MqttClient } from 'mqtt';

/** Messages are taken in for this long at a stretch. */
const SLICE_MS = 5;

/**
 * Lets everything else of the process have its turn while messages pour in: without it the library
 * works off all that a read of the line has brought, some hundred messages, before an order to stop
 * is looked at. What has not been taken in waits in the line, and so at the broker.
 */
export function takeTurns(client: Pick<MqttClient, 'handleMessage'>): void {
  let sinceMs = 0;
  client.handleMessage = (_, done) => {
    if (performance.now() - sinceMs < SLICE_MS) {
      done();
      return;
    }
    setImmediate(() => {
      sinceMs = performance.now();
      done();
    });
  };
}

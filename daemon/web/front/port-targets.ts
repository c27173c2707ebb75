import type { MessagePort } from 'node:worker_threads';
import type { Answer, StopNow } from '../../../adapters/contract.ts';
import type { StopTarget } from '../../delivery/stop-desk.ts';
import type { FromStopPort, ToStopPort } from '../../delivery/thread-messages.ts';

/** A way to stop an output that runs in another thread, over a port that does nothing else. */
export interface PortTarget extends StopTarget {
  storeKnows(stopNo: number): void;
  close(): void;
}

export function portTarget(name: string, port: MessagePort): PortTarget {
  const waiting = new Map<number, (answer: Answer) => void>();
  let lastId = 0;
  const send = (message: ToStopPort) => port.postMessage(message);
  port.on('message', ({ id, answer }: FromStopPort) => {
    waiting.get(id)?.(answer);
    waiting.delete(id);
  });
  port.on('close', () => {
    const answer: Answer = { kind: 'unknown', detail: 'its thread has ended' };
    for (const settle of waiting.values()) settle(answer);
    waiting.clear();
  });
  return {
    name,
    stopNow(asked: StopNow) {
      lastId += 1;
      const id = lastId;
      send({ id, asked });
      return new Promise((resolve) => waiting.set(id, resolve));
    },
    storeKnows: (stopNo) => send({ storeKnows: stopNo }),
    close: () => port.close(),
  };
}

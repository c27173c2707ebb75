import type { MessagePort } from 'node:worker_threads';
import type { Answer, StopNow, StoppableOutput } from '../../adapters/contract.ts';
import type { FromStopPort, ToStopPort } from './thread-messages.ts';

/** Stops alone come on such a port. One that comes again under its number is answered as before. */
export function listenForStops(output: StoppableOutput, port: MessagePort): void {
  const answers = new Map<number, Promise<Answer>>();
  const stopOnce = (asked: StopNow) => {
    const before = answers.get(asked.stopNo) ?? output.stopNow(asked);
    answers.set(asked.stopNo, before);
    return before;
  };
  port.on('message', (message: ToStopPort) => {
    if ('storeKnows' in message) {
      output.storeKnows(message.storeKnows);
      for (const stopNo of answers.keys()) {
        if (stopNo <= message.storeKnows) answers.delete(stopNo);
      }
      return;
    }
    const { id, asked } = message;
    void stopOnce(asked).then((given) => {
      const reply: FromStopPort = { id, answer: given };
      port.postMessage(reply);
    });
  });
}

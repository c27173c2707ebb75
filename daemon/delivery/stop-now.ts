import { createHash } from 'node:crypto';
import { request } from 'node:http';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import type { MessagePort } from 'node:worker_threads';
import type { Answer, StopNow, StoppableOutput, StoppedAt } from '../../adapters/contract.ts';
import { within } from '../within.ts';
import type { FromStopPort, ToStopPort } from './threaded-output.ts';

/** What a person asks to stop. */
export interface StopRequest {
  beds: 'all' | string[];
  who: string;
  why: string;
  /** When the person means to water again; null when they did not say. */
  untilMs: number | null;
  atMs: number;
}

/** A way to stop one output that needs nothing else. */
export interface StopTarget {
  readonly name: string;
  stopNow(asked: StopNow): Promise<Answer>;
}

/** A stop on its way: its number, and what every output has made of it. */
interface StopUnderWay {
  stopNo: number;
  stoppedAt: Promise<StoppedAt[]>;
}

/** Each output answers within two seconds; a thread that hangs is not waited for much longer. */
const PATIENCE_MS = 2_300;

/** Gives every stop of this process a number that grows, over a clock that is set back as well. */
export function stopDispatcher(targets: () => Iterable<StopTarget>): {
  stop(asked: StopRequest): StopUnderWay;
} {
  let lastNo = 0;
  return {
    stop({ beds, who, why, atMs }) {
      const stopNo = Math.max(lastNo + 1, atMs);
      lastNo = stopNo;
      const asked: StopNow = { stopNo, beds, who, why, atMs };
      // All of them at once: none stands before another.
      const answers = [...targets()].map(async (target): Promise<StoppedAt> => {
        const given = await within(askTarget(target, asked), PATIENCE_MS);
        const answer: Answer = given.ended
          ? given.value
          : { kind: 'unknown', detail: `no answer in ${PATIENCE_MS / 1000} s` };
        return { output: target.name, answer };
      });
      return { stopNo, stoppedAt: Promise.all(answers) };
    },
  };
}

async function askTarget(target: StopTarget, asked: StopNow): Promise<Answer> {
  try {
    return await target.stopNow(asked);
  } catch (error) {
    return { kind: 'unknown', detail: error instanceof Error ? error.message : String(error) };
  }
}

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

/** Longer paths cannot be the address of a socket on every system. */
const MOST_PATH_BYTES = 100;

/** Where the daemon of a data folder takes stops from this machine. */
export function stopSocketOf(dataFolder: string): string {
  const beside = join(resolve(dataFolder), 'stop.sock');
  if (Buffer.byteLength(beside) <= MOST_PATH_BYTES) return beside;
  const mark = createHash('sha256').update(beside).digest('hex').slice(0, 16);
  return join(tmpdir(), `dewbeat-${mark}.sock`);
}

/** What a daemon said of a stop. */
export interface DaemonSaid {
  /** True when every output took it and the store has it. */
  isWell: boolean;
  line: string;
  outputs: string[];
}

/** Asks the daemon of a data folder to stop water; null when none answers. */
export function askDaemonToStop(
  path: string,
  body: object,
  { patienceMs }: { patienceMs: number },
): {
  /** Settles once the daemon has it, long before it is carried out; true: it has it. */
  taken: Promise<boolean>;
  said: Promise<DaemonSaid | null>;
  close(): void;
} {
  const text = JSON.stringify(body);
  let close = () => {};
  let take = (_isTaken: boolean) => {};
  const taken = new Promise<boolean>((resolve) => {
    take = resolve;
  });
  const said = new Promise<DaemonSaid | null>((resolve) => {
    const headers = {
      'content-type': 'application/json',
      'content-length': Buffer.byteLength(text),
    };
    const asking = request(
      { socketPath: path, method: 'POST', path: '/api/hold', headers, timeout: patienceMs },
      (reply) => {
        let got = '';
        reply.setEncoding('utf8');
        reply.on('data', (chunk: string) => {
          got += chunk;
        });
        reply.on('error', () => resolve(null));
        reply.on('end', () => resolve(saidIn(got, reply.statusCode === 200)));
      },
    );
    close = () => void asking.destroy();
    asking.on('information', () => take(true));
    asking.on('error', () => resolve(null));
    asking.on('timeout', () => asking.destroy());
    asking.end(text);
  });
  void said.then((answer) => take(answer !== null));
  return { taken, said, close: () => close() };
}

function saidIn(text: string, isWell: boolean): DaemonSaid | null {
  try {
    const { line, message, outputs } = JSON.parse(text) as Record<string, unknown>;
    const words = typeof line === 'string' ? line : message;
    if (typeof words !== 'string') return null;
    return { isWell, line: words, outputs: Array.isArray(outputs) ? outputs.map(String) : [] };
  } catch {
    return null;
  }
}

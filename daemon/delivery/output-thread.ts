import { parentPort, receiveMessageOnPort, workerData } from 'node:worker_threads';
import type { AdapterLog, Answer, Found, RunMemory } from '../../adapters/contract.ts';
import { createOutput } from '../../adapters/outputs/list.ts';
import { stoppable } from '../../adapters/outputs/stoppable.ts';
import { siteClock } from '../site/time/site-clock.ts';
import { paperOn } from '../words/plan-card.ts';
import { listenForStops } from './stop-now.ts';
import type {
  FromThread,
  MemoryAnswer,
  MemoryAsk,
  ThreadAsk,
  ThreadFacts,
  ToThread,
} from './threaded-output.ts';

/**
 * One output in a thread of its own: neither the daemon's event loop nor its database nor another
 * output stands before what it has to do, least of all before a stop.
 */

const HEALTH_MS = 1_000;
/** The memory is asked for this long; it acts on nothing in the last part of it. */
const MEMORY_PATIENCE_MS = 600;
const MEMORY_SPARE_MS = 250;

const parent = parentPort;
if (parent === null) throw new Error('output-thread: runs as a worker thread only');
const facts = workerData as ThreadFacts;
const tell = (message: FromThread) => parent.postMessage(message);

const logAt = (level: 'info' | 'warn' | 'error') => (fields: object, message: string) =>
  tell({ kind: 'log', level, fields, message });
const log: AdapterLog = { info: logAt('info'), warn: logAt('warn'), error: logAt('error') };

const clock = siteClock(facts.zone);
const made = await createOutput(
  facts.output,
  {
    siteId: facts.siteId,
    clock,
    units: facts.units,
    paper: paperOn(clock),
    log,
    baseFolder: facts.baseFolder,
    now: Date.now,
    stationsAtOnce: facts.stationsAtOnce,
    runMemory: () => memoryOver(facts.memory),
    report: (report) => tell({ kind: 'report', report }),
  },
  { ownThread: true },
);
const output = stoppable(made, { siteId: facts.siteId, clock });

function tellHealth(): void {
  const { tell: news, keepsPastOrders } = output;
  tell({
    kind: 'health',
    health: output.health(),
    canTell: news !== undefined,
    keepsPastOrders: keepsPastOrders === true,
  });
}

async function answer(ask: ThreadAsk): Promise<Answer | Found | null> {
  switch (ask.what) {
    case 'start':
      await output.start();
      return null;
    case 'deliver':
      return output.deliver(ask.orderId, ask.confirmed);
    case 'withdraw':
      return output.withdraw(ask.orderId, ask.withdrawal);
    case 'find':
      return output.find(ask.wanted);
    case 'tell':
      return (await output.tell?.(ask.news)) ?? null;
    case 'stopNow':
      return output.stopNow(ask.asked);
    case 'stop':
      await output.stop();
      return null;
  }
}

parent.on('message', (message: ToThread) => {
  switch (message.kind) {
    case 'storeKnows':
      output.storeKnows(message.stopNo);
      return;
    case 'stopPort':
      listenForStops(output, message.port);
      return;
    case 'ask': {
      const { id, ask } = message;
      answer(ask).then(
        (value) => tell({ kind: 'answer', id, value, health: output.health() }),
        (error: unknown) =>
          tell({ kind: 'fault', id, message: messageOf(error), health: output.health() }),
      );
    }
  }
});

setInterval(tellHealth, HEALTH_MS);
tellHealth();

/**
 * The daemon's memory of runs, asked across threads. It waits for the answer, but never long: a
 * stop that comes meanwhile must not wait for a database.
 */
function memoryOver({ port, flag }: ThreadFacts['memory']): RunMemory {
  const answered = new Int32Array(flag);
  let lastId = 0;
  const ask = (question: Parameters<typeof withId>[1]): unknown => {
    lastId += 1;
    const waitNs = BigInt(MEMORY_PATIENCE_MS - MEMORY_SPARE_MS) * 1_000_000n;
    Atomics.store(answered, 0, 0);
    port.postMessage(withId({ id: lastId, untilNs: process.hrtime.bigint() + waitNs }, question));
    const endMs = performance.now() + MEMORY_PATIENCE_MS;
    for (;;) {
      const found = receiveMessageOnPort(port)?.message as MemoryAnswer | undefined;
      if (found?.id === lastId) {
        if (found.ok) return found.value;
        throw new Error(found.message);
      }
      if (found !== undefined) continue;
      const leftMs = endMs - performance.now();
      if (leftMs <= 0) throw new Error(`no answer from the daemon in ${MEMORY_PATIENCE_MS} ms`);
      Atomics.wait(answered, 0, 0, Math.min(leftMs, 20));
      Atomics.store(answered, 0, 0);
    }
  };
  return {
    has: (runId) => ask({ what: 'has', runId }) === true,
    add: (event) => void ask({ what: 'add', event }),
    standing: () => ask({ what: 'standing' }) as ReturnType<RunMemory['standing']>,
  };
}

type WithoutId<T> = T extends unknown ? Omit<T, 'id' | 'untilNs'> : never;

function withId(
  about: Pick<MemoryAsk, 'id' | 'untilNs'>,
  question: WithoutId<MemoryAsk>,
): MemoryAsk {
  return { ...about, ...question } as MemoryAsk;
}

function messageOf(error: unknown): string {
  return error instanceof Error ? error.message : String(error);
}

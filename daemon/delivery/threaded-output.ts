import { MessageChannel, type MessagePort, Worker } from 'node:worker_threads';
import type {
  AdapterLog,
  Alert,
  Answer,
  ConfirmedPlan,
  FieldReport,
  Found,
  RunEvent,
  RunMemory,
  StopNow,
  StoppableOutput,
  Wanted,
  Withdrawal,
} from '../../adapters/contract.ts';
import type { DisplayUnits } from '../../adapters/display-units.ts';
import type { OutputConfig } from '../site/config/connections.ts';
import { entryBeside } from './thread-entry.ts';

/** An output whose work is done in a thread of its own. */
export interface ThreadedOutput extends StoppableOutput {
  /** Gives whoever holds the other end the means to stop this output without this thread. */
  listenOn(port: MessagePort): void;
  /** Called when the thread was begun again: it has none of the ports that it had. */
  onBegunAgain?: () => void;
}

/** A thread that has ended is begun again after this. */
const BEGIN_AGAIN_MS = 1_000;
/** A thread that has said nothing for this long hangs, most likely in the disk. */
const SILENT_MS = 5_000;
/** After it was asked to stop, a thread has this long. */
const END_PATIENCE_MS = 2_500;

const ENDED: Answer = { kind: 'unknown', detail: 'its thread has ended; it is begun again' };

/** Puts an output into a thread; nothing is opened before its `start`. */
export function threadedOutput(
  facts: Omit<ThreadFacts, 'memory'>,
  given: { log: AdapterLog; memory: RunMemory; report(report: FieldReport): void },
): ThreadedOutput {
  const { name } = facts.output;
  const { log } = given;
  const waiting = new Map<number, (value: Answer | Found | null) => void>();
  let lastId = 0;
  let thread: Worker | null = null;
  let isStarted = false;
  let health: Health = { ok: false, detail: 'the output is not started' };
  let heardMs = 0;
  let abilities = { canTell: true, keepsPastOrders: false };
  let ports: MessagePort[] = [];

  function begin(): Worker {
    const memory = new MessageChannel();
    const flag = new SharedArrayBuffer(4);
    serveMemory(memory.port1, flag, given.memory);
    const made = new Worker(entryBeside(import.meta.url, 'output-thread'), {
      workerData: { ...facts, memory: { port: memory.port2, flag } },
      transferList: [memory.port2],
      name: `output ${name}`,
    });
    // A thread that hangs in the disk must not keep the process from ending.
    made.unref();
    heardMs = performance.now();
    made.on('message', (message: FromThread) => hear(message));
    made.on('error', (error) =>
      log.error({ output: name }, `${name}: its thread failed: ${error}`),
    );
    made.on('exit', () => {
      memory.port1.close();
      if (thread !== made) return;
      thread = null;
      for (const answer of waiting.values()) answer(ENDED);
      waiting.clear();
      if (!isStarted) return;
      health = { ok: false, detail: ENDED.detail };
      setTimeout(() => {
        if (!isStarted || thread !== null) return;
        void ask({ what: 'start' });
        own.onBegunAgain?.();
      }, BEGIN_AGAIN_MS).unref();
    });
    for (const port of ports.splice(0)) send(made, { kind: 'stopPort', port }, [port]);
    return made;
  }

  function hear(message: FromThread): void {
    heardMs = performance.now();
    switch (message.kind) {
      case 'log':
        log[message.level](message.fields, message.message);
        return;
      case 'report':
        given.report(message.report);
        return;
      case 'health':
        health = message.health;
        abilities = message;
        return;
      case 'answer':
      case 'fault': {
        health = message.health;
        const settle = waiting.get(message.id);
        waiting.delete(message.id);
        settle?.(
          message.kind === 'answer' ? message.value : { kind: 'unknown', detail: message.message },
        );
      }
    }
  }

  function ask(what: ThreadAsk): Promise<Answer | Found | null> {
    thread ??= begin();
    lastId += 1;
    const id = lastId;
    const answered = new Promise<Answer | Found | null>((resolve) => waiting.set(id, resolve));
    send(thread, { kind: 'ask', id, ask: what });
    return answered;
  }
  const askAnswer = async (what: ThreadAsk) => ((await ask(what)) ?? ENDED) as Answer;

  const own: ThreadedOutput = {
    name,
    get keepsPastOrders() {
      return abilities.keepsPastOrders;
    },
    async start() {
      isStarted = true;
      await ask({ what: 'start' });
    },
    deliver: (orderId, confirmed) => askAnswer({ what: 'deliver', orderId, confirmed }),
    withdraw: (orderId, withdrawal) => askAnswer({ what: 'withdraw', orderId, withdrawal }),
    stopNow: (asked) => askAnswer({ what: 'stopNow', asked }),
    async find(wanted) {
      const found = (await ask({ what: 'find', wanted })) as Found | Answer | null;
      if (found === null || found.kind === 'unknown') {
        return { kind: 'unseen', detail: found?.detail ?? ENDED.detail };
      }
      return found as Found;
    },
    async tell(news) {
      if (!abilities.canTell) return { kind: 'accepted', detail: 'this output tells no news' };
      return askAnswer({ what: 'tell', news });
    },
    storeKnows(stopNo) {
      if (thread !== null) send(thread, { kind: 'storeKnows', stopNo });
    },
    listenOn(port) {
      if (thread === null) ports.push(port);
      else send(thread, { kind: 'stopPort', port }, [port]);
    },
    health() {
      const silentMs = performance.now() - heardMs;
      if (thread === null || silentMs < SILENT_MS) return health;
      const s = Math.round(silentMs / 1000);
      return { ok: false, detail: `does not answer for ${s} s: it hangs, most likely in the disk` };
    },
    async stop() {
      if (!isStarted) return;
      isStarted = false;
      const ending = thread;
      if (ending === null) return;
      await Promise.race([
        ask({ what: 'stop' }),
        new Promise((resolve) => setTimeout(resolve, END_PATIENCE_MS).unref()),
      ]);
      thread = null;
      ports = [];
      // What hangs in the disk cannot be ended, and is not waited for.
      void ending.terminate();
      for (const answer of waiting.values())
        answer({ kind: 'unknown', detail: 'the output is stopped' });
      waiting.clear();
      health = { ok: false, detail: 'the output is stopped' };
    },
  };
  return own;
}

function send(thread: Worker, message: ToThread, transfer: MessagePort[] = []): void {
  thread.postMessage(message, transfer);
}

/** Answers what a thread asks of the memory of runs, unless it has given up waiting. */
function serveMemory(port: MessagePort, flag: SharedArrayBuffer, memory: RunMemory): void {
  const answered = new Int32Array(flag);
  const reply = (answer: MemoryAnswer) => {
    port.postMessage(answer);
    Atomics.store(answered, 0, 1);
    Atomics.notify(answered, 0);
  };
  port.on('message', (question: MemoryAsk) => {
    const { id } = question;
    if (process.hrtime.bigint() > question.untilNs) return;
    try {
      reply({ id, ok: true, value: answerOf(memory, question) });
    } catch (error) {
      reply({ id, ok: false, message: error instanceof Error ? error.message : String(error) });
    }
  });
  port.unref();
}

function answerOf(memory: RunMemory, question: MemoryAsk): unknown {
  switch (question.what) {
    case 'has':
      return memory.has(question.runId);
    case 'add':
      return memory.add(question.event) ?? null;
    case 'standing':
      return memory.standing();
  }
}

/** What an output in a thread of its own is made from. */
export interface ThreadFacts {
  output: OutputConfig;
  siteId: string;
  zone: string;
  units: DisplayUnits;
  baseFolder: string;
  stationsAtOnce: number;
  /** Where the thread asks for the memory of runs, and a flag that says that the answer is there. */
  memory: { port: MessagePort; flag: SharedArrayBuffer };
}

/** What the thread is asked to do, each answered under its number. */
export type ThreadAsk =
  | { what: 'start' }
  | { what: 'deliver'; orderId: string; confirmed: ConfirmedPlan }
  | { what: 'withdraw'; orderId: string; withdrawal: Withdrawal }
  | { what: 'find'; wanted: Wanted | null }
  | { what: 'tell'; news: Alert }
  | { what: 'stopNow'; asked: StopNow }
  | { what: 'stop' };

export type ToThread =
  | { kind: 'ask'; id: number; ask: ThreadAsk }
  | { kind: 'storeKnows'; stopNo: number }
  /** Whoever has the other end may stop this output, and nothing else. */
  | { kind: 'stopPort'; port: MessagePort };

export interface Health {
  ok: boolean;
  detail: string;
}

export type FromThread =
  | { kind: 'answer'; id: number; value: Answer | Found | null; health: Health }
  | { kind: 'fault'; id: number; message: string; health: Health }
  | { kind: 'health'; health: Health; canTell: boolean; keepsPastOrders: boolean }
  | { kind: 'report'; report: FieldReport }
  | { kind: 'log'; level: 'info' | 'warn' | 'error'; fields: object; message: string };

/** A stop on its way to an output's thread, and what became of it. */
export type ToStopPort = { id: number; asked: StopNow } | { storeKnows: number };
export interface FromStopPort {
  id: number;
  answer: Answer;
}

/**
 * A question to the memory of runs. It is not acted on after `untilNs` of the machine's steady
 * clock: whoever asked does not wait any longer, and a run must not be claimed for nobody.
 */
export type MemoryAsk = { id: number; untilNs: bigint } & (
  | { what: 'has'; runId: string }
  | { what: 'add'; event: RunEvent }
  | { what: 'standing' }
);

export type MemoryAnswer =
  | { id: number; ok: true; value: unknown }
  | { id: number; ok: false; message: string };

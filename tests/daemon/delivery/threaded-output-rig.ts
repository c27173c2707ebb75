import { EventEmitter } from 'node:events';
import { MessageChannel } from 'node:worker_threads';
import { afterEach, beforeEach, vi } from 'vitest';
import type {
  AdapterLog,
  Answer,
  FieldReport,
  Found,
  RunMemory,
} from '../../../adapters/contract.ts';
import type {
  FromThread,
  Health,
  ThreadAsk,
  threadedOutput as ThreadedOutput,
  ThreadFacts,
  ToThread,
} from '../../../daemon/delivery/threaded-output.ts';

interface ThreadOptions {
  workerData: ThreadFacts;
  name: string;
  transferList: unknown[];
}

/** Stands where a thread would: it notes what it is told, and says what the test says. */
export class FakeThread extends EventEmitter {
  static all: FakeThread[] = [];
  heard: { message: ToThread; transfer: readonly unknown[] }[] = [];
  isEnded = false;
  isUnref = false;
  readonly entry: URL;
  readonly options: ThreadOptions;
  constructor(entry: URL, options: ThreadOptions) {
    super();
    this.entry = entry;
    this.options = options;
    FakeThread.all.push(this);
  }
  postMessage(message: ToThread, transfer: readonly unknown[]) {
    this.heard.push({ message, transfer });
  }
  unref() {
    this.isUnref = true;
  }
  async terminate() {
    this.isEnded = true;
  }
  says(message: FromThread) {
    this.emit('message', message);
  }
  get asks(): { id: number; ask: ThreadAsk }[] {
    return this.heard.flatMap(({ message }) => (message.kind === 'ask' ? [message] : []));
  }
  /** Answers what it was asked last. */
  answers(value: Answer | Found | null, health = WELL) {
    this.says({ kind: 'answer', id: this.asks.at(-1)?.id ?? 0, value, health });
  }
}

export const WELL: Health = { ok: true, detail: 'well' };
export const ACCEPTED: Answer = { kind: 'accepted', detail: 'taken' };
export const ENDED = { kind: 'unknown', detail: 'its thread has ended; it is begun again' };
export const facts = {
  output: { output: 'file', name: 'file', folder: 'out' },
  siteId: 'example-site',
  zone: 'Europe/Rome',
  units: 'metric',
  baseFolder: '.',
  stationsAtOnce: 4,
} as unknown as Omit<ThreadFacts, 'memory'>;

let threadedOutput: typeof ThreadedOutput;
/** What the steady clock says. */
export const time = { nowMs: 0 };
let clock: { mockRestore(): void };

/** Has every test of a file begin with a fresh module, a fake thread and clocks in its hand. */
export function useFakeThreads(): void {
  beforeEach(async () => {
    FakeThread.all = [];
    time.nowMs = 10_000;
    vi.doMock('node:worker_threads', () => ({ MessageChannel, Worker: FakeThread }));
    vi.resetModules();
    ({ threadedOutput } = await import('../../../daemon/delivery/threaded-output.ts'));
    vi.useFakeTimers({ toFake: ['setTimeout', 'clearTimeout'] });
    clock = vi.spyOn(performance, 'now').mockImplementation(() => time.nowMs);
  });
  afterEach(() => {
    vi.useRealTimers();
    clock.mockRestore();
    vi.doUnmock('node:worker_threads');
    vi.resetModules();
  });
}

export function scene(memory: Partial<RunMemory> = {}) {
  const logged: string[] = [];
  const reports: FieldReport[] = [];
  const write = (level: string) => (fields: object, message: string) =>
    void logged.push(`${level} ${message} ${JSON.stringify(fields)}`);
  const log: AdapterLog = { info: write('info'), warn: write('warn'), error: write('error') };
  const output = threadedOutput(facts, {
    log,
    memory: memory as RunMemory,
    report: (report) => void reports.push(report),
  });
  const last = () => {
    const thread = FakeThread.all.at(-1);
    if (thread === undefined) throw new Error('no thread was begun');
    return thread;
  };
  const start = async () => {
    const started = output.start();
    last().answers(null);
    await started;
  };
  return { output, logged, reports, last, start };
}

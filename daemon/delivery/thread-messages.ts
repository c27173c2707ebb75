import type { MessagePort } from 'node:worker_threads';
import type {
  Answer,
  ConfirmedPlan,
  FieldReport,
  Found,
  RunEvent,
  StopNow,
  Wanted,
  Withdrawal,
} from '../../adapters/contract.ts';
import type { DisplayUnits } from '../../adapters/display-units.ts';
import type { News } from '../../adapters/news.ts';
import type { OutputConfig } from '../config/outputs-schema.ts';

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
  | { what: 'tell'; news: News }
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

import type { MessagePort } from 'node:worker_threads';
import type { KeptStop, UnwrittenHold } from '../../../delivery/delivery-memory.ts';

/** What the front has to know of a config: enough to stop water when nothing else answers. */
export interface FrontSettings {
  siteId: string;
  bedIds: string[];
  /** Where the page is served. */
  address: string;
  port: number;
  isLoopback: boolean;
  hosts: readonly string[];
  proxies: readonly string[];
  /** Whether people are named who sign in. */
  hasPeople: boolean;
  /** Whether whoever reaches the page may stop water. */
  stopByAnyone: boolean;
}

/** A sign-in as the front knows it: by the hash of its token. */
export interface FrontSignIn {
  hash: string;
  name: string;
  endMs: number;
}

/** A request that is passed on to the page behind the front. */
export interface RelayedRequest {
  id: number;
  method: string;
  url: string;
  headers: Record<string, string | string[]>;
  body: Uint8Array | null;
  remoteAddress: string;
}

/** A stop as it travels to the store; times are epoch milliseconds. */
export type StopForStore = Omit<UnwrittenHold, 'onWritten'>;

export type ToFront =
  | { kind: 'settings'; settings: FrontSettings }
  | { kind: 'signIns'; signIns: FrontSignIn[] }
  /** Every way to stop an output; it takes the place of those before. */
  | { kind: 'targets'; targets: { name: string; port: MessagePort }[] }
  /** The outputs change: a stop that comes now waits for the new ones. */
  | { kind: 'changing' }
  | { kind: 'head'; id: number; status: number; headers: Record<string, string | string[]> }
  | { kind: 'chunk'; id: number; chunk: Uint8Array }
  | { kind: 'end'; id: number }
  | { kind: 'kept'; stopNo: number; kept: KeptStop }
  | { kind: 'socket'; path: string }
  | { kind: 'close' };

export type FromFront =
  | { kind: 'request'; request: RelayedRequest }
  | { kind: 'gone'; id: number }
  | { kind: 'stop'; stop: StopForStore }
  | { kind: 'served'; url: string | null; port: number | null; why: string | null }
  | { kind: 'socket'; why: string | null }
  | { kind: 'closed' };

import type { Output } from '../../adapters/contract.ts';
import type { DaemonParts } from '../parts.ts';

/** What a job works with: the parts of the daemon, and its open outputs. */
export interface JobParts extends DaemonParts {
  outputs: ReadonlyMap<string, Output>;
}

/**
 * Something that the daemon does again and again. A job decides nothing by the clock that wakes
 * it: what is owed follows from the store, the config and `now()`, so a late, doubled or lost wake
 * does no harm.
 */
export interface Job {
  /** In words for the log. */
  name: string;
  /** `minute`: woken by the daemon's minute, in UTC; otherwise this often. */
  every: 'minute' | { ms: number };
  /** Does what is owed now; may throw: it is logged, and the next wake tries again. */
  work(): Promise<void>;
}

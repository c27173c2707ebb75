import type { SiteClock } from '../../adapters/site-clock.ts';
import { holdWater } from '../gate/gate.ts';
import type { Db } from '../store/database.ts';

/** A hold that was sent and that the store has refused. */
export interface UnwrittenHold {
  who: string;
  why: string;
  beds: 'all' | string[];
  untilMs: number | null;
  /** When the person put it on. */
  atMs: number;
  /** What it has become in the store, once that has taken it after all; left out: it has not. */
  written?: { holdId: number; orderId: string };
}

/**
 * Holds that only this process knows of, oldest first. While there is one nothing is delivered; as
 * soon as the store takes it, it is a hold like any other, and is sent once more.
 */
export type UnwrittenHolds = UnwrittenHold[];

/**
 * Offers the store what it has refused.
 * @throws what the store says, when it refuses again.
 */
export function writeHolds(
  waiting: UnwrittenHolds,
  given: { db: Db; clock: SiteClock; outputs: readonly string[] },
): void {
  for (let hold = waiting[0]; hold !== undefined; hold = waiting[0]) {
    hold.written = holdWater({ ...given, nowMs: hold.atMs }, hold);
    waiting.shift();
  }
}

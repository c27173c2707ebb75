import type { SiteClock } from '../../adapters/site-clock.ts';
import { holdWater } from '../gate/gate.ts';
import type { Db } from '../store/database.ts';
import type { AskedStop } from './stop-desk.ts';

/** A stop that went to the outputs first, and that the store is to have as a hold. */
export interface UnwrittenHold extends AskedStop {
  stopNo: number;
  /** Called once the store has it. */
  onWritten?(written: WrittenHold): void;
}

/** What a stop has become in the store. */
export interface WrittenHold {
  holdId: number;
  orderId: string;
}

/** What the store has made of a stop. */
export type KeptStop = { written: WrittenHold; why: null } | { written: null; why: string };

/**
 * Stops that only this process knows of, oldest first. While there is one nothing is delivered; as
 * soon as the store takes it, it is a hold like any other, and is sent once more.
 */
export type UnwrittenHolds = UnwrittenHold[];

/**
 * Offers the store what it does not have yet, in the sequence in which it was asked.
 * @throws what the store says, when it refuses.
 */
export function writeHolds(
  waiting: UnwrittenHolds,
  given: { db: Db; clock: SiteClock; outputs: readonly string[] },
): void {
  for (let hold = waiting[0]; hold !== undefined; hold = waiting[0]) {
    const { who, why, beds, untilMs, atMs } = hold;
    const written = holdWater({ ...given, nowMs: atMs }, { who, why, beds, untilMs });
    waiting.shift();
    hold.onWritten?.(written);
  }
}

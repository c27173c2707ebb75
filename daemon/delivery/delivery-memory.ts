import type { Answer } from '../../adapters/contract.ts';
import type { SiteClock } from '../../adapters/site-clock.ts';
import { holdWater } from '../site/gate/gate.ts';
import type { Db } from '../site/store/database.ts';
import type { OrderState } from '../site/store/outbox.ts';
import type { StopRequest } from './stop-now.ts';

/** What came of one order in a round. */
export interface Delivered {
  order: OrderState;
  answer: Answer;
}

/** An answer that the database has refused so far. */
export interface Unwritten extends Delivered {
  atMs: number;
}

/** What a running daemon knows of its deliveries besides the store; gone with the process. */
export interface DeliveryMemory {
  /** Orders that an output has been asked and has not answered. */
  underWay: Map<string, Promise<void>>;
  /** Answers that wait for the database to take them. */
  unwritten: Map<string, Unwritten>;
  /** Answers since the last round told them. */
  answered: Delivered[];
  /** Outputs that were read back since the start: before that, nothing is delivered there. */
  lookedAt: Set<string>;
  /** Why the database took the last answer not; null when it did. */
  storeFault: string | null;
}

export function deliveryMemory(): DeliveryMemory {
  return {
    underWay: new Map(),
    unwritten: new Map(),
    answered: [],
    lookedAt: new Set(),
    storeFault: null,
  };
}

/** One order at one output. */
export function orderKey({ orderId, output }: Pick<OrderState, 'orderId' | 'output'>): string {
  return JSON.stringify([orderId, output]);
}

/** A stop that went to the outputs first, and that the store is to have as a hold. */
export interface UnwrittenHold extends StopRequest {
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

import type { Answer } from '../../adapters/contract.ts';
import type { OrderState } from '../store/owed.ts';

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

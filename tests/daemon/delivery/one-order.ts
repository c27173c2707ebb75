import type { OrderState } from '../../../daemon/site/store/outbox.ts';

/** An invented order that an output was given once, and did not answer. */
export const ORDER: OrderState = {
  orderId: 'a',
  output: 'file',
  kind: 'deliver',
  confirmationId: 1,
  holdId: null,
  atMs: 0,
  validUntilMs: 1_000_000,
  attempts: 1,
  lastAttemptMs: 100_000,
  lastAnswer: 'unknown',
  lastDetail: '',
  toPlace: null,
};

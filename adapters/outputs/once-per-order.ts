import type { Answer } from '../contract.ts';

/** Accepted order ids that are remembered: months of plans and holds. */
const REMEMBERED = 1000;

export interface OncePerOrder {
  (orderId: string, act: () => Promise<Answer>): Promise<Answer>;
  /** Has an order take effect once more when it is asked again: it does not stand out there. */
  forget(orderId: string): void;
}

/**
 * Lets an order take effect once: a repeat of an accepted order is answered from memory, a repeat
 * of one under way shares its answer, a repeat of any other tries again. Without it a late repeat
 * of a delivery could overwrite a hold that came after it.
 */
export function oncePerOrder(): OncePerOrder {
  const accepted = new Map<string, Answer>();
  const underWay = new Map<string, Promise<Answer>>();

  async function carryOut(orderId: string, act: () => Promise<Answer>): Promise<Answer> {
    try {
      const answer = await act();
      if (answer.kind === 'accepted') {
        accepted.set(orderId, answer);
        const oldest = accepted.keys().next().value;
        if (accepted.size > REMEMBERED && oldest !== undefined) accepted.delete(oldest);
      }
      return answer;
    } finally {
      underWay.delete(orderId);
    }
  }

  const once = (orderId: string, act: () => Promise<Answer>): Promise<Answer> => {
    const before = accepted.get(orderId);
    if (before !== undefined) {
      return Promise.resolve({
        kind: 'accepted',
        detail: `${before.detail} (the order was repeated)`,
      });
    }
    const shared = underWay.get(orderId) ?? carryOut(orderId, act);
    underWay.set(orderId, shared);
    return shared;
  };
  return Object.assign(once, { forget: (orderId: string) => void accepted.delete(orderId) });
}

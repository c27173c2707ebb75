import type { OrderState } from '../store/owed.ts';

/** An order at an output, as far as the store knows. */
export type Reached = Pick<OrderState, 'output' | 'lastAnswer' | 'lastDetail'>;

/** At once after a confirm: nothing has been sent yet, and nobody may rely on it. */
export function sayOnItsWay(outputs: readonly string[]): string {
  if (outputs.length === 0) return 'No output is configured: nothing is sent anywhere.';
  return `No receiver has it yet: it goes to ${outputs.join(', ')} now.`;
}

/** Whether an output has an order, and what that means for its receiver. */
export function sayReached({ output, lastAnswer, lastDetail }: Reached): string {
  const detail = lastDetail === '' ? '' : `, ${lastDetail}`;
  if (lastAnswer === 'accepted') return `${output}: accepted${detail}`;
  if (lastAnswer === 'rejected' || lastAnswer === 'lapsed') {
    return `${output}: NOT TAKEN, the receiver does not have it (${lastAnswer}${detail})`;
  }
  const told = lastAnswer ?? 'not sent yet';
  return `${output}: NOT TAKEN, the receiver does not have it yet, as far as anyone knows (${told}${detail})`;
}

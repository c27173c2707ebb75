import type { StoppedAt } from '../../adapters/contract.ts';
import type { OrderState } from '../site/store/outbox.ts';

/** What came of a stop: at the outputs, and in the store. */
export interface StopOutcome {
  beds: 'all' | readonly string[];
  stoppedAt: readonly StoppedAt[];
  /** Why the store does not have it; null: it has. */
  unwritten: string | null;
  /** Who remembers a stop that the store does not have. */
  keeper: 'daemon' | 'nobody';
}

/** A stop in words: the line that counts, then output by output what is true. */
export interface StopWords {
  /** True only when every output took it and the store has it. */
  isWell: boolean;
  /** True when no output that is known has runs of the beds any more. */
  isStopped: boolean;
  line: string;
  outputs: string[];
}

/** Says what is true of a stop, and what has to be done by hand where it did not come through. */
export function sayStop({ beds, stoppedAt, unwritten, keeper }: StopOutcome): StopWords {
  const what = beds === 'all' ? 'everything' : beds.join(', ');
  const open = stoppedAt.filter(({ answer }) => answer.kind !== 'accepted');
  const isStopped = open.length === 0;
  const outputs = stoppedAt.map(({ output, answer }) =>
    answer.kind === 'accepted'
      ? `${output}: stopped, ${answer.detail}`
      : `${output}: NOT STOPPED, ${answer.detail}; close its valves by hand`,
  );
  if (stoppedAt.length === 0) outputs.push('No output is configured: nothing is sent anywhere.');
  const line = isStopped
    ? `On hold: ${what}.`
    : `NOT STOPPED at ${open.map(({ output }) => output).join(', ')}: close the valves by hand. Asked to hold: ${what}.`;
  if (unwritten === null) return { isWell: isStopped, isStopped, line, outputs };
  const next =
    keeper === 'daemon'
      ? 'only this daemon remembers it, and goes on trying to write it: mend the store before the daemon is stopped'
      : 'nothing remembers it: mend the store and hold again before anything is confirmed';
  const reached = isStopped ? 'the water is stopped, but' : 'NOT EVERY OUTPUT HAS TAKEN IT, and';
  return {
    isWell: false,
    isStopped,
    line: `${line} NOT WRITTEN: the store could not be written (got ${unwritten}); ${reached} ${next}.`,
    outputs,
  };
}

/** An order at an output, as far as the store knows. */
export type OrderDelivery = Pick<OrderState, 'output' | 'lastAnswer' | 'lastDetail'>;

/** At once after a confirm: nothing has been sent yet, and nobody may rely on it. */
export function sayOnItsWay(outputs: readonly string[]): string {
  if (outputs.length === 0) return 'No output is configured: nothing is sent anywhere.';
  return `No receiver has it yet: it goes to ${outputs.join(', ')} now.`;
}

/** Whether an output has an order, and what that means for its receiver. */
export function sayOrderDelivery({ output, lastAnswer, lastDetail }: OrderDelivery): string {
  const detail = lastDetail === '' ? '' : `, ${lastDetail}`;
  if (lastAnswer === 'accepted') return `${output}: accepted${detail}`;
  if (lastAnswer === 'rejected' || lastAnswer === 'lapsed') {
    return `${output}: NOT TAKEN, the receiver does not have it (${lastAnswer}${detail})`;
  }
  const told = lastAnswer ?? 'not sent yet';
  return `${output}: NOT TAKEN, the receiver does not have it yet, as far as anyone knows (${told}${detail})`;
}

import type { StoppedAt } from '../../adapters/contract.ts';
import { bedsFact } from '../coded.ts';
import type { OrderState } from '../site/store/outbox.ts';
import type { Say } from './language.ts';

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
export function sayStop(
  { beds: asked, stoppedAt, unwritten, keeper }: StopOutcome,
  say: Say,
): StopWords {
  const beds = bedsFact(asked);
  const open = stoppedAt.filter(({ answer }) => answer.kind !== 'accepted');
  const isStopped = open.length === 0;
  const outputs = stoppedAt.map(({ output, answer: { kind, detail } }) =>
    say(kind === 'accepted' ? 'stop.output_stopped' : 'stop.output_not_stopped', {
      output,
      detail,
    }),
  );
  if (stoppedAt.length === 0) outputs.push(say('outputs.none'));
  const line = isStopped
    ? say('stop.done', { beds })
    : say('stop.not_stopped', { beds, outputs: open.map(({ output }) => output).join(', ') });
  if (unwritten === null) return { isWell: isStopped, isStopped, line, outputs };
  const reached = isStopped ? 'stopped' : 'not_stopped';
  const notWritten = say('stop.unwritten', { why: unwritten, reached, keeper });
  return { isWell: false, isStopped, line: `${line} ${notWritten}`, outputs };
}

/** What is said of names of beds that lead nowhere; the others were stopped. */
export function sayStrangers(
  { strangers, known }: { strangers: readonly string[]; known: readonly string[] },
  say: Say,
): string {
  return say('refused.bed_unknown', { got: strangers.join(', '), beds: known.join(', ') });
}

/** The line of a stop, with a word about names that led nowhere. */
export function withStrangers(
  line: string,
  names: { strangers: readonly string[]; known: readonly string[] },
  say: Say,
): string {
  if (names.strangers.length === 0) return line;
  return `${line} ${say('stop.of_the_others', { what: sayStrangers(names, say) })}`;
}

/** An order at an output, as far as the store knows. */
export type OrderDelivery = Pick<OrderState, 'output' | 'lastAnswer' | 'lastDetail'>;

/** At once after a confirm: nothing has been sent yet, and nobody may rely on it. */
export function sayOnItsWay(outputs: readonly string[], say: Say): string {
  if (outputs.length === 0) return say('outputs.none');
  return say('outputs.on_its_way', { outputs: outputs.join(', ') });
}

/** Whether an output has an order, and what that means for its receiver. */
export function sayOrderDelivery(
  { output, lastAnswer, lastDetail }: OrderDelivery,
  say: Say,
): string {
  const detail = lastDetail === '' ? '' : `, ${lastDetail}`;
  const told = say(`order_answer.${lastAnswer ?? 'waiting'}`);
  const values = { output, answer: told, detail };
  if (lastAnswer === 'accepted') return say('order.accepted', values);
  const isOver = lastAnswer === 'rejected' || lastAnswer === 'lapsed';
  return say(isOver ? 'order.not_taken' : 'order.not_taken_yet', values);
}

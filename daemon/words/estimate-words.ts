import type { MessageKey } from './en.ts';
import { isMessage, type Say } from './language.ts';

type CodeOf<Key> = Key extends `reports.estimate.${infer Code}` ? Code : never;

/** Why a number is none that was measured: a code, with the counts that it is told with. */
export interface Estimate {
  code: CodeOf<MessageKey>;
  [count: string]: string | number;
}

/** "3 of 12 runs assumed": as a single number is told of. */
export function sayEstimate(estimate: Estimate, say: Say): string {
  return say(`reports.estimate.${estimate.code}`, estimate);
}

/** "runs assumed": as a whole column is told of, without the counts of its rows. */
export function sayMark({ code }: Estimate, say: Say): string {
  const key = `reports.mark.${code}`;
  return say(isMessage(key) ? key : `reports.estimate.${code}`);
}

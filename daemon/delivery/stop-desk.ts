import type { Answer, StopNow, StoppedAt } from '../../adapters/contract.ts';
import { within } from '../within.ts';

/** What a person asks to stop. */
export interface AskedStop {
  beds: 'all' | string[];
  who: string;
  why: string;
  /** When the person means to water again; null when they did not say. */
  untilMs: number | null;
  atMs: number;
}

/** A way to stop one output that needs nothing else. */
export interface StopTarget {
  readonly name: string;
  stopNow(asked: StopNow): Promise<Answer>;
}

/** A stop on its way: its number, and what every output has made of it. */
export interface StopUnderWay {
  stopNo: number;
  stoppedAt: Promise<StoppedAt[]>;
}

/** Each output answers within two seconds; a thread that hangs is not waited for much longer. */
const PATIENCE_MS = 2_300;

/** Gives every stop of this process a number that grows, over a clock that is set back as well. */
export function stopDesk(targets: () => Iterable<StopTarget>): {
  stop(asked: AskedStop): StopUnderWay;
} {
  let lastNo = 0;
  return {
    stop({ beds, who, why, atMs }) {
      const stopNo = Math.max(lastNo + 1, atMs);
      lastNo = stopNo;
      const asked: StopNow = { stopNo, beds, who, why, atMs };
      // All of them at once: none stands before another.
      const answers = [...targets()].map(async (target): Promise<StoppedAt> => {
        const given = await within(askTarget(target, asked), PATIENCE_MS);
        const answer: Answer = given.ended
          ? given.value
          : { kind: 'unknown', detail: `no answer in ${PATIENCE_MS / 1000} s` };
        return { output: target.name, answer };
      });
      return { stopNo, stoppedAt: Promise.all(answers) };
    },
  };
}

async function askTarget(target: StopTarget, asked: StopNow): Promise<Answer> {
  try {
    return await target.stopNow(asked);
  } catch (error) {
    return { kind: 'unknown', detail: error instanceof Error ? error.message : String(error) };
  }
}

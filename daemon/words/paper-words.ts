import type { OutputContext, PlanWords } from '../../adapters/contract.ts';
import type { SiteClock } from '../../adapters/site-clock.ts';
import { noticeTexts } from './notice-texts.ts';
import { type Reader, sayReason } from './plan-words.ts';
import { readerOf } from './reader.ts';
import { warningTexts } from './warning-words.ts';

/** What stands in words on a card and in a list of runs. */
export function paperWords(reader: Reader): PlanWords {
  return {
    reason: (reason) => sayReason(reason, reader),
    warnings: (plan) => warningTexts(plan, reader),
    notices: (plan) => noticeTexts(plan, reader),
  };
}

/** The same as outputs take it, in whichever units they ask for. */
export function paperWordsIn(clock: SiteClock): OutputContext['words'] {
  return (units) => paperWords(readerOf({ clock, units }));
}

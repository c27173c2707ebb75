import type { OutputContext, Paper } from '../../adapters/contract.ts';
import { display } from '../../adapters/display-units.ts';
import type { SiteClock } from '../../adapters/site-clock.ts';
import { emptyCard, planCard } from './plan-card.ts';
import { type Reader, sayReason } from './plan-words.ts';

/** Cards and lists of runs in the words of a reader. */
export function paperFor(reader: Reader, zone: string): Paper {
  return {
    card: (facts) => planCard({ ...facts, reader, zone }),
    emptyCard: (given) => emptyCard(given, reader),
    reason: (reason) => sayReason(reason, reader),
  };
}

/** The same as outputs take it, in whichever language and units they ask for. */
export function paperOn(clock: SiteClock): OutputContext['paper'] {
  return (language, units) => paperFor({ language, clock, show: display(units) }, clock.zone);
}

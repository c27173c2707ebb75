import type { Site } from '../../calc/schedule/site.ts';
import { holdWater } from '../gate/gate.ts';
import type { ActContext } from './act-context.ts';

/**
 * The beds to stop, and a word about names that lead nowhere. Stopping must not fail over a slip of
 * the pen: what is known is stopped before anything is said of the rest.
 */
export function bedsToHold(
  site: Site,
  asked: 'all' | readonly string[],
): { beds: 'all' | string[]; strangersLine: string } {
  if (asked === 'all') return { beds: 'all', strangersLine: '' };
  const known = site.beds.map((bed) => bed.id);
  const named = [...new Set(asked)];
  const strangers = named.filter((id) => !known.includes(id));
  return {
    beds: named.filter((id) => known.includes(id)),
    strangersLine:
      strangers.length === 0
        ? ''
        : `no such bed (got ${strangers.join(', ')}); the beds are ${known.join(', ')}`,
  };
}

/** Stops water at once, for everything or for beds that are known. */
export function hold(
  { db, config, nowMs }: ActContext,
  asked: { who: string; why: string; beds: 'all' | string[]; untilMs: number | null },
): { line: string; holdId: number; orderId: string } {
  const { clock, outputs } = config;
  const context = { db, clock, outputs: outputs.map((output) => output.name), nowMs };
  return { line: sayHeld(asked.beds), ...holdWater(context, asked) };
}

/** What a hold has stopped. */
export function sayHeld(beds: 'all' | readonly string[]): string {
  return `On hold: ${beds === 'all' ? 'everything' : beds.join(', ')}.`;
}

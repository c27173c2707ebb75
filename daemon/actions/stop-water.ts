import { holdWater } from '../site/gate/gate.ts';
import type { ActionContext } from './action-context.ts';

/** Stops water at once, for everything or for beds that are known. */
export function hold(
  { db, config, nowMs }: ActionContext,
  asked: { who: string; why: string; beds: 'all' | string[]; untilMs: number | null },
): { holdId: number; orderId: string } {
  const { clock, outputs } = config;
  const context = { db, clock, outputs: outputs.map((output) => output.name), nowMs };
  return holdWater(context, asked);
}

/** Beds to stop, and names that lead nowhere. */
export interface BedsToHold {
  beds: 'all' | string[];
  strangers: string[];
  known: readonly string[];
}

/**
 * The beds to stop, and the names that lead nowhere. Stopping must not fail over a slip of the pen: what
 * is known is stopped before anything is said of the rest.
 */
export function bedsToHold(known: readonly string[], asked: 'all' | readonly string[]): BedsToHold {
  if (asked === 'all') return { beds: 'all', strangers: [], known };
  const named = [...new Set(asked)];
  return {
    beds: named.filter((id) => known.includes(id)),
    strangers: named.filter((id) => !known.includes(id)),
    known,
  };
}

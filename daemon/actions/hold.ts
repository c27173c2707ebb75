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

import type { Limits } from './site.ts';
import type { SupplyLimit } from './supply-limit.ts';

/** What ran before a plan's own runs, and is none of the cycles that it keeps. */
export interface RanBefore {
  /** Water of the site day so far. */
  dayL: number;
  /** Water of the season so far, the day's among it. */
  seasonL: number;
  /** When the pump last stopped; null: not known, or long ago. */
  pumpStoppedMs: number | null;
  /** When each bed's last water ended, by bed id; left out: long ago. */
  bedEndsMs?: ReadonlyMap<string, number>;
}

/**
 * What is left of the allowance that binds first, and which it is: every run counts in both, so the
 * one with less left now has less left at any time of the plan.
 */
export function waterLeft(
  limits: Pick<Limits, 'dayAllowanceL' | 'seasonAllowanceL'>,
  before: Pick<RanBefore, 'dayL' | 'seasonL'> = { dayL: 0, seasonL: 0 },
): { limit: SupplyLimit; allowedL: number } {
  const dayL = (limits.dayAllowanceL ?? Infinity) - before.dayL;
  const seasonL = (limits.seasonAllowanceL ?? Infinity) - before.seasonL;
  return seasonL < dayL
    ? { limit: { kind: 'season_allowance' }, allowedL: seasonL }
    : { limit: { kind: 'allowance' }, allowedL: dayL };
}

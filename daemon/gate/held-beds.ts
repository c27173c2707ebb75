import type { Hold } from '../store/holds.ts';

/** How much of the time that a bed had a hold has eaten: a closed list, the last one worst. */
export const HOLD_LEVELS = ['plenty', 'half', 'quarter', 'zero'] as const;

export type HoldLevel = (typeof HOLD_LEVELS)[number];

/** A bed under a hold: the time to dry that it had when that was put on, and what is left. */
export interface HeldBed {
  bedId: string;
  name: string;
  hadMs: number;
  leftMs: number;
  /** When it gets dry without water. */
  dryMs: number;
  level: HoldLevel;
}

/** An open hold, with its beds and whether the time meant for it has passed. */
export interface HoldStanding {
  hold: Hold;
  /** First to dry first. */
  beds: HeldBed[];
  isOver: boolean;
}

/** The share of its time to dry that a bed under a hold has left, as a level. Pure. */
export function holdLevel({ hadMs, leftMs }: Pick<HeldBed, 'hadMs' | 'leftMs'>): HoldLevel {
  if (leftMs <= 0) return 'zero';
  if (leftMs <= hadMs / 4) return 'quarter';
  return leftMs <= hadMs / 2 ? 'half' : 'plenty';
}

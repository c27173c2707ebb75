import { z } from 'zod';
import { quantity } from '../../adapters/quantity.ts';

/** When a day's plan is worked out anew by the daemon itself. */
export interface RevisionRule {
  /** How often it looks. */
  everyMs: number;
  /** How far the time to dry of a bed has to move. */
  thresholdMin: number;
  /** No second revision within this of the first. */
  quietMs: number;
}

/** When the daemon works a day's plan out anew. */
export const revisionsSchema = z
  .strictObject({
    every: quantity('duration_min', { min: 5, max: 240 })
      .prefault('15 min')
      .meta({ description: 'How often it looks whether the beds still dry when the plan says.' }),
    threshold: quantity('duration_min', { min: 5, max: 480 })
      .prefault('20 min')
      .meta({ description: 'How far the time to dry of a bed has to move for a new revision.' }),
    quiet: quantity('duration_min', { min: 5, max: 720 })
      .prefault('60 min')
      .meta({ description: 'No second revision of its own within this time.' }),
  })
  .prefault({})
  .meta({ description: 'Revisions that the daemon makes through the day, each held.' });

/** The rule in the units of the calculation. */
export function toRevisionRule(config: z.output<typeof revisionsSchema>): RevisionRule {
  return {
    everyMs: config.every * 60_000,
    thresholdMin: config.threshold,
    quietMs: config.quiet * 60_000,
  };
}

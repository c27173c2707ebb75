import { z } from 'zod';
import { quantity } from '../../adapters/quantity.ts';
import type { FieldRule } from '../field/run-state.ts';

const answerSchema = z.enum(['notice', 'hold']);

/** How what receivers report is held against what was sent. */
export const fieldReportsSchema = z
  .strictObject({
    late: quantity('duration_min', { min: 1, max: 240 })
      .prefault('10 min')
      .meta({ description: 'How late a report may come, and how far off a start may be.' }),
    run_over: quantity('duration_s', { min: 0, max: 3600 })
      .prefault('60 s')
      .meta({ description: 'How much longer than planned a station may run.' }),
    flow_off: quantity('fraction', { min: 0.01, max: 1 })
      .prefault('25 %')
      .meta({ description: "How far measured flow may be off the station's." }),
    on_missing: answerSchema
      .default('notice')
      .meta({ description: 'After a run that did not come, or came without flow.' }),
    on_stuck: answerSchema.default('hold').meta({ description: 'After a station that ran on.' }),
    on_unasked: answerSchema
      .default('notice')
      .meta({ description: 'After a station that ran and nobody had asked it to.' }),
  })
  .prefault({})
  .meta({ description: 'What receivers report of runs, held against what was sent.' });

/** The rule in the units of the calculation. */
export function toFieldRule(config: z.output<typeof fieldReportsSchema>): FieldRule {
  return {
    lateMs: config.late * 60_000,
    runOverS: config.run_over,
    flowOffFraction: config.flow_off,
    onMissing: config.on_missing,
    onStuck: config.on_stuck,
    onUnasked: config.on_unasked,
  };
}

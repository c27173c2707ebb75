import { z } from 'zod';
import { knownBed } from './action-context.ts';
import { choice } from './fields.ts';
import { describeAction } from './spec.ts';

/** A fresh plan from what stands; `lift` waters stopped beds again. Writes no row of its own. */
export const replan = describeAction({
  kind: 'replan',
  command: null,
  letter: 'p',
  isListed: true,
  isPlanned: true,
  schema: z.strictObject({
    kind: z.literal('replan'),
    lift: choice(
      z
        .union([
          z.literal('none'),
          z.literal('all'),
          z.array(z.string().min(1).max(64)).min(1).max(2000),
        ])
        .default('none'),
      { option: 'lift', choices: [] },
    ),
  }),
  begin({ holds, bed }) {
    if (holds.length === 0) return { values: { lift: 'none' } };
    return {
      intro: 'stopped',
      values: { lift: 'all' },
      facts: { stops: holds.map(({ line }) => line).join(' ') },
      choices: {
        lift: [
          { value: 'none', words: 'field.replan.lift.none' },
          { value: 'all', words: 'field.replan.lift.all' },
          ...(bed === null ? [] : [{ value: [bed.id], words: 'field.replan.lift.this' }]),
        ],
      },
    };
  },
  apply({ config, nowMs }, { lift }, who) {
    if (lift !== 'none' && lift !== 'all') for (const id of lift) knownBed(config.site, id);
    const beds = lift === 'none' || lift === 'all' ? '' : lift.join(', ');
    const code = lift === 'none' ? 'replan' : lift === 'all' ? 'replan_lifts_all' : 'replan_lifts';
    return {
      who,
      step: null,
      told: [{ code, beds }],
      atMs: nowMs,
      hypothetical: {},
      lift,
      write: () => undefined,
    };
  },
});

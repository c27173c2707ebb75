import { z } from 'zod';
import type { Lift } from '../planning/open-holds.ts';
import type { Action } from './action.ts';
import { type ActionContext, knownBeds } from './action-context.ts';
import { bedsOrAll } from './fields.ts';
import { describeAction } from './spec.ts';

/** A fresh plan of what stands, from now on. Writes no row of its own. */
export const replan = describeAction({
  kind: 'replan',
  command: null,
  letter: 'p',
  isListed: true,
  isPlanned: true,
  schema: z.strictObject({ kind: z.literal('replan') }),
  apply: (context, _, who) => planAnew(context, { who, lift: 'none', code: 'replan' }),
});

/**
 * Plans anew with beds on which water was stopped: the confirm of that plan, and nothing else, waters
 * them again.
 */
export const release = describeAction({
  kind: 'release',
  command: 'release',
  letter: 'u',
  isListed: true,
  isPlanned: true,
  schema: z.strictObject({
    kind: z.literal('release'),
    beds: bedsOrAll({ example: 'all' }),
  }),
  begin({ holds }) {
    if (holds.length === 0) return { isNothing: true };
    return { values: { beds: 'all' }, facts: { stops: holds.map(({ line }) => line).join(' ') } };
  },
  apply(context, { beds }, who) {
    if (beds === 'all') return planAnew(context, { who, lift: 'all', code: 'released_all' });
    const lift = knownBeds(context.config.site, beds).map((bed) => bed.id);
    return planAnew(context, { who, lift, code: 'released' });
  },
});

function planAnew(
  { nowMs }: ActionContext,
  { who, lift, code }: { who: string; lift: Lift; code: string },
): Action {
  return {
    who,
    step: null,
    told: [{ code, beds: lift === 'none' || lift === 'all' ? '' : lift.join(', ') }],
    atMs: nowMs,
    hypothetical: {},
    lift,
    write: () => undefined,
  };
}

import type { Lift } from '../planning/hold-keep-offs.ts';
import type { Action } from './action.ts';
import type { ActionContext } from './action-context.ts';
import { knownBed } from './known-beds.ts';

/** A fresh plan from what stands; `lift` waters held beds again. Writes no row of its own. */
export function replan({ config }: ActionContext, asked: { lift: Lift; who: string }): Action {
  const { lift, who } = asked;
  if (lift !== 'none' && lift !== 'all') for (const id of lift) knownBed(config.site, id);
  const line =
    lift === 'none'
      ? 'A fresh plan from now on.'
      : `A fresh plan from now on; a confirm of it lifts the hold on ${lift === 'all' ? 'everything' : lift.join(', ')}.`;
  return { line, who, hypothetical: {}, lift, keep: () => [line] };
}

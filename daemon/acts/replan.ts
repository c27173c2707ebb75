import type { Lift } from '../planning/hold-keep-offs.ts';
import type { ActContext } from './act-context.ts';
import type { Deed } from './deed.ts';
import { knownBed } from './known-beds.ts';

/** A fresh plan from what stands; `lift` waters held beds again. Writes no row of its own. */
export function replan({ config }: ActContext, asked: { lift: Lift; who: string }): Deed {
  const { lift, who } = asked;
  if (lift !== 'none' && lift !== 'all') for (const id of lift) knownBed(config.site, id);
  const line =
    lift === 'none'
      ? 'A fresh plan from now on.'
      : `A fresh plan from now on; a confirm of it lifts the hold on ${lift === 'all' ? 'everything' : lift.join(', ')}.`;
  return { line, who, asIf: {}, lift, keep: () => [line] };
}

import { confirmedPlan } from '../../daemon/site/gate/confirmed-plan.ts';
import { SITE } from './fixed-days.ts';
import { forgedText, textNo, textOf } from './wanted-pool.ts';
import { PLACES, type World } from './world.ts';

/** The orders of a place as they were before anything was taken out of them: the most water. */
export function deliverTexts(world: World, place: number): number[] {
  const texts = new Set<number>();
  for (const out of world.outs) {
    for (const { row } of out.owed) {
      if (row.kind !== 'deliver' || row.toPlace !== PLACES[place]) continue;
      const confirmation = world.confirms[(row.confirmationId ?? 0) - 1]?.row;
      if (confirmation === undefined) continue;
      const facts = { holds: [], isLogged: true, site: SITE };
      const { confirmed } = confirmedPlan(confirmation, facts);
      if (confirmed === null) continue;
      texts.add(textOf({ kind: 'deliver', orderId: row.orderId, confirmed }).no);
    }
  }
  return [...texts];
}

/** An order with the runs of the first confirm at other times; null: there is nothing to copy. */
export function forgedFrom(world: World, place: number): number | null {
  const [first] = deliverTexts(world, place);
  return first === undefined ? null : forgedText(textNo(first)).no;
}

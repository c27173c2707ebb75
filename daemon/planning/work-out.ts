import { planDigest, planDocument } from '../../adapters/plan-document.ts';
import type { PlanWarning } from '../../calc/schedule/plan-warning.ts';
import { storeVersion } from '../store/version.ts';
import type { Lift } from './hold-keep-offs.ts';
import type { PlanningContext } from './planning-context.ts';
import { type Proposal, readyToPropose } from './propose-plan.ts';
import { withNotes } from './season-notes.ts';

/** A plan worked out whole and not kept: plain values, so that another process can work it out. */
export interface WorkedOut extends Proposal {
  /** Why it was made, as it stands first in its warnings. */
  reasons: readonly PlanWarning[];
  digest: string;
  /** The store that it was worked out from: keeping it asks whether that is still the store. */
  version: string;
}

/**
 * Works out a plan of the current site day with its digest, and remembers nothing. It takes the
 * processor for a second or more, and no right to write meanwhile.
 *
 * @param asked.because Looks at the proposal; null: there is no reason for a plan.
 * @throws NoWeather, WeatherUnreadable when there is no weather to plan on.
 */
export async function workedOutIf(
  context: PlanningContext,
  asked: { lift: Lift; because(proposed: Proposal['plan']): readonly PlanWarning[] | null },
): Promise<WorkedOut | null> {
  const { db, config } = context;
  const version = storeVersion(db);
  const proposal = (await readyToPropose(context, asked))();
  const reasons = asked.because(proposal.plan);
  if (reasons === null) return null;
  const plan = withNotes(proposal.plan, reasons);
  const digest = planDigest(planDocument(plan, config.clock));
  return { ...proposal, plan, reasons, digest, version };
}

/** The same for a plan that is wanted whatever it says. */
export async function workedOut(
  context: PlanningContext,
  asked: { lift: Lift; reasons?: readonly PlanWarning[] },
): Promise<WorkedOut> {
  const { lift, reasons = [] } = asked;
  const made = await workedOutIf(context, { lift, because: () => reasons });
  if (made === null) throw new Error('plan: not worked out though it was asked for');
  return made;
}

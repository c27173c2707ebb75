import type { Run } from '../../calc/schedule/run.ts';
import { confirmPlan } from '../site/gate/gate.ts';
import type { ConfirmRequest, Refusal } from '../site/gate/judge-confirm.ts';
import { siteInUseOf } from '../site/gate/site-changes.ts';
import { sayRefusal } from '../words/confirm-words.ts';
import { sayOnItsWay } from '../words/delivery-words.ts';
import { sayGiven } from '../words/leeway-words.ts';
import { type Reader, readerOf, sayTo } from '../words/plan-words.ts';
import { logReader } from '../words/told.ts';
import type { ActionContext } from './action-context.ts';

export type Confirmed =
  | {
      ok: true;
      line: string;
      /** Whether the daemon may follow the day, and on which beds. */
      leeway: string;
      /** That no receiver has it yet, and where it goes: told at once. */
      onItsWay: string;
      missed: string[];
      orderId: string;
    }
  | { ok: false; refusal: Refusal };

/**
 * Confirms exactly the plan that a person has read, or says why not.
 * @param reader Left out: the site's own.
 */
export function confirm(
  { db, config, nowMs }: ActionContext,
  request: ConfirmRequest,
  reader: Reader = readerOf(config),
): Confirmed {
  const { clock, outputs } = config;
  const say = sayTo(reader);
  const result = confirmPlan(
    {
      db,
      clock,
      outputs: outputs.map((output) => output.name),
      nowMs,
      site: siteInUseOf(config),
      sayRefusal: (refusal) => sayRefusal(refusal, logReader(clock)),
    },
    request,
  );
  if (!result.ok) return result;
  const { plan, who } = result;
  const missed = ({ startMs, bedId, stationId }: Run) =>
    say('confirmed.missed', { at: clock.timeOf(startMs), bed: bedId, station: stationId });
  return {
    ok: true,
    line: say('confirmed.line', { revision: plan.revision, siteDay: plan.siteDay, who }),
    leeway: sayGiven(plan, request.leewayBedIds ?? null, reader),
    onItsWay: sayOnItsWay(
      outputs.map(({ name }) => name),
      say,
    ),
    missed: result.missed.map(missed),
    orderId: result.orderId,
  };
}
